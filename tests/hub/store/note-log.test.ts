import { appendFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
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

it("[L100] believes no note that is not as it was written, and names its line", () => {
  const place = join(folder, "changed");
  const file = join(place, "ended.jsonl");
  const tokens = Array.from({ length: 5 }, (_, at) => `token-${at}`);
  openEndedLog(place).note(tokens.map((token) => ({ token, at: "2026-11-29" })));
  const whole = readFileSync(file);
  expect(openEndedLog(place).damaged).toEqual([]);
  for (const at of whole.keys()) {
    const changed = Buffer.from(whole);
    changed[at] = (changed[at] as number) ^ (1 << (at % 8));
    writeFileSync(file, changed);
    const log = openEndedLog(place);
    const kept = log.all().map(({ token }) => token);
    expect(tokens).toEqual(expect.arrayContaining(kept));
    if (kept.length < tokens.length) expect(log.damaged.length, `byte ${at}`).toBeGreaterThan(0);
  }
});
