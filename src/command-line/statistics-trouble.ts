import type { Values } from "../words/say.ts";
import { type StatisticsKey, sayStatistics } from "./say-statistics.ts";
import { type Complaint, Trouble } from "./trouble.ts";

/** A complaint in the words of the statistics commands. */
export function complaint(
  say: StatisticsKey,
  values: Values = {},
  where: { file?: string; line?: number } = {},
): Complaint {
  return {
    say: "said-elsewhere",
    with: { sentence: sayStatistics(say, values) },
    ...where,
  };
}

/** An option as a number. @throws Trouble unless it is what is `wanted`: a share between 0 and 1, or a whole number from `least`. */
export function numberOption(
  name: string,
  value: string | undefined,
  standard: number,
  wanted: "share" | number,
): number {
  if (value === undefined) return standard;
  const number = value.trim() === "" ? Number.NaN : Number(value);
  const isFit =
    wanted === "share"
      ? number > 0 && number < 1
      : Number.isInteger(number) && number >= wanted && number < 2 ** 32;
  if (isFit) return number;
  const what =
    wanted === "share"
      ? sayStatistics("wanted-share")
      : sayStatistics("wanted-count", { least: wanted });
  throw new Trouble([complaint("option-number", { name, wanted: what, value })]);
}
