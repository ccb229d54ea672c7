import { readFileSync } from "node:fs";
import { describe, expect, it } from "vitest";
import { refusalOfNew } from "../../src/belt-test/intake/refusal-of-new.ts";
import { readEntry } from "../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import { demoFiles } from "../../src/demo/demo-files.ts";
import { finishedTest } from "../../src/demo/finished-test.ts";
import { marksCsv } from "../../src/demo/marks-csv.ts";

const kept = (name: string) =>
  readFileSync(new URL(`../../demo-data/${name}`, import.meta.url), "utf8");
const files = demoFiles();
const file = finishedTest(files);
const entries = file.entries as AnyEntry[];

describe("the invented belt test", () => {
  it("says that it is invented", () => {
    expect(files.scenario.about).toMatch(/invented/i);
    for (const rubric of files.rubrics) expect(rubric.about).toMatch(/invented/i);
  });

  it("is what demo-data holds, byte for byte (else: npm run demo-data)", () => {
    expect(kept("finished-test.json")).toBe(`${JSON.stringify(file)}\n`);
    expect(kept("finished-test-marks.csv")).toBe(marksCsv(entries));
  });

  it("has nothing in it that a hub would refuse, in the order it happened", () => {
    const inOrder = [...entries].sort(
      (a, b) => a.lamport - b.lamport || (a.device < b.device ? -1 : 1),
    );
    const book = fold([]);
    for (const entry of inOrder) {
      expect(readEntry(entry).ok).toBe(true);
      const roles = book.plan.seat(entry.by)?.roles ?? ["chief"];
      expect([entry.kind, refusalOfNew(book, { person: entry.by, roles }, entry)]).toEqual([
        entry.kind,
        null,
      ]);
      book.add(entry);
    }
  });

  it("has every assigned section of everybody on the floor locked and open, and leaves the verdicts to people", () => {
    const book = fold(entries);
    const here = book.plan.entrants.filter(
      ({ candidate }) => book.floor.presence(candidate) === "checked-in",
    );
    expect(here).toHaveLength(23);
    for (const { candidate } of here) {
      for (const { id } of book.plan.rubricOf(candidate)?.sections ?? []) {
        expect([candidate, id, book.openings.isRevealed(candidate, id)]).toEqual([
          candidate,
          id,
          true,
        ]);
      }
      expect(book.decisions.verdict(candidate)).toBeUndefined();
    }
  });

  it("shows the judges' quirks: the severe judge below the kind one on the candidates both marked", () => {
    const book = fold(entries);
    const sums = { okonkwo: 0, "sato-lind": 0 };
    let cells = 0;
    for (const { candidate } of book.plan.entrants) {
      const marks = book.marks
        .of(candidate, "verdict")
        .filter(
          ({ level, section }) =>
            typeof level === "number" && section !== "knowledge" && section !== "etiquette",
        );
      for (const mark of marks.filter(({ judge }) => judge === "okonkwo")) {
        const other = marks.find(
          (one) =>
            one.judge === "sato-lind" &&
            one.section === mark.section &&
            one.item === mark.item &&
            one.side === mark.side &&
            one.criterion === mark.criterion,
        );
        if (!other) continue;
        cells++;
        sums.okonkwo += Number(mark.level);
        sums["sato-lind"] += Number(other.level);
      }
    }
    expect(cells).toBeGreaterThan(100);
    expect(sums["sato-lind"] - sums.okonkwo).toBeGreaterThan(0.2 * cells);
  });
});
