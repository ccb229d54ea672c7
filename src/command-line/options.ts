import { type ParseArgsConfig, parseArgs } from "node:util";
import { shown } from "./read-csv.ts";
import { Trouble } from "./trouble.ts";

/** What every command takes. */
const everyCommand = {
  help: { type: "boolean", short: "h" },
  json: { type: "boolean" },
} as const satisfies ParseArgsConfig["options"];

/**
 * Options and files of a command.
 * @throws Trouble naming an option that is not known, or is without its value.
 */
export function optionsOf<T extends NonNullable<ParseArgsConfig["options"]>>(
  args: readonly string[],
  options: T,
) {
  try {
    return parseArgs({
      args: [...args],
      options: { ...everyCommand, ...options },
      allowPositionals: true,
      strict: true,
    });
  } catch (error) {
    const name = shown(/'(-[^' ]*)/.exec(String(error))?.[1] ?? args.join(" "));
    const isValue = (error as { code?: string }).code === "ERR_PARSE_ARGS_INVALID_OPTION_VALUE";
    throw new Trouble([{ say: isValue ? "option-value" : "option-unknown", with: { name } }]);
  }
}
