import { resolve } from "node:path";
import { isSound, rubricFindings } from "../belt-test/rubric/check.ts";
import { pathText } from "../belt-test/rubric/finding.ts";
import type { Command } from "./command.ts";
import { librariesIn } from "./libraries.ts";
import { optionsOf } from "./options.ts";
import { sayFinding } from "./read-rubrics.ts";
import { sayTerminal } from "./say-terminal.ts";
import { wrapped } from "./text-width.ts";
import { Trouble } from "./trouble.ts";

/** `check FILES…`: whether rubrics are sound, and what is odd about them. */
export const check: Command = {
  help: "help-check",
  async run(args, { out, width, folder }) {
    const { values, positionals } = optionsOf(args, {});
    if (positionals.length === 0) throw new Trouble([{ say: "check-no-file" }]);
    const { contentOf, libraryFor, libraryIn } = librariesIn(folder);
    const checked = positionals.map((file) => {
      const path = resolve(folder, file);
      const content = contentOf(path);
      const is = kindOf(content);
      if (is === "library") libraryIn(path);
      const findings = is === "rubric" ? rubricFindings(content, libraryFor(path)) : [];
      return { file, is, sound: isSound(findings), findings };
    });
    if (values.json)
      out(
        JSON.stringify(
          checked.map(({ file, is, sound, findings }) => ({
            file,
            ...(is === "rubric" ? {} : { is }),
            sound,
            findings: findings.map(({ severity, code, path, with: filled }) => ({
              severity,
              code,
              path: pathText(path),
              sentence: sayFinding(code, filled),
            })),
          })),
          null,
          2,
        ),
      );
    else
      for (const { file, is, findings } of checked) {
        if (is !== "rubric") {
          out(sayTerminal("check-other", { file, is }));
          continue;
        }
        const faults = findings.filter(({ severity }) => severity === "fault").length;
        out(sayTerminal("check-file", { file, faults, warnings: findings.length - faults }));
        for (const { severity, code, path, with: filled } of findings) {
          const line = sayTerminal("check-finding", {
            severity,
            place: pathText(path) || file,
            sentence: sayFinding(code, filled),
          });
          out(wrapped(`  ${line}`, width, "      ").join("\n"));
        }
      }
    return checked.every(({ sound }) => sound) ? 0 : 1;
  },
};

/** What stands beside rubrics in their folder is named for what it is, so that `check *.json` may be given the folder whole. */
function kindOf(content: unknown): "rubric" | "library" | "json-schema" {
  if (typeof content !== "object" || content === null) return "rubric";
  const { $schema, faults, practice } = content as Record<string, unknown>;
  if (/^https?:\/\/json-schema\.org\//.test(String($schema))) return "json-schema";
  return faults !== undefined && practice !== undefined ? "library" : "rubric";
}
