import { appendFileSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import fc from "fast-check";
import { afterAll, expect, it } from "vitest";
import { openEndedLog } from "../../../src/hub/store/ended-log.ts";

const folder = mkdtempSync(join(tmpdir(), "evenhand-notes-"));
afterAll(() => rmSync(folder, { recursive: true }));

it("[L98] keeps every note that was confirmed, wherever lines were torn between", () => {
  let run = 0;
  const steps = fc.array(fc.oneof(fc.constant("note"), fc.nat(80)), { maxLength: 12 });
  fc.assert(
    fc.property(steps, (all) => {
      const place = join(folder, String(++run));
      const noted: string[] = [];
      openEndedLog(place).note([{ token: "first", at: "2026-11-29" }]);
      for (const [at, step] of all.entries()) {
        if (step === "note") {
          noted.push(`token-${at}`);
          openEndedLog(place).note([{ token: `token-${at}`, at: "2026-11-29" }]);
        } else {
          const torn = JSON.stringify({ token: `torn-${at}`, at: "2026-11-29" });
          appendFileSync(
            join(place, "ended.jsonl"),
            torn.slice(0, Math.min(step, torn.length - 1)),
          );
        }
      }
      const kept = openEndedLog(place);
      for (const token of ["first", ...noted]) expect(kept.has(token)).toBe(true);
      const lines = readFileSync(join(place, "ended.jsonl"), "utf8").split("\n");
      expect(lines.filter((line) => line.includes("}{"))).toEqual([]);
    }),
    { numRuns: 60 },
  );
});
