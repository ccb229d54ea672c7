import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { borderFault } from "../../../src/belt-test/scorebook/border-fault.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { sideFault } from "../../../src/belt-test/scorebook/side-fault.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { demoFiles } from "../../../src/demo/demo-files.ts";
import { finishedTest } from "../../../src/demo/finished-test.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { aTextRef } from "../../builders/an-id.ts";

const one = "candidate-1" as CandidateId;
const two = "candidate-2" as CandidateId;
const blocks = "blocks" as SectionId;
const code = (entry: AnyEntry) => borderFault(entry)?.code;

describe("a new entry", () => {
  it("[S154] of a whole test has no words in it", () => {
    const { entries } = finishedTest(demoFiles());
    expect((entries as AnyEntry[]).flatMap((entry) => borderFault(entry) ?? [])).toEqual([]);
    expect(aMarkedDay().entries.flatMap((entry) => borderFault(entry) ?? [])).toEqual([]);
  });

  it("[S154] takes no words in a key that this year does not know, and names it, nowhere deep in a mark either", () => {
    const words = fc.string({ minLength: 1, maxLength: 40 }).map((text) => `${text} b`);
    fc.assert(
      fc.property(words, fc.integer({ min: 0, max: 3 }), (text, where) => {
        const mark = aMark(aPen("judge-1"));
        const [cell] = mark.body.cells;
        const body = [
          { ...mark.body, remark: text },
          { ...mark.body, next: [{ year: { text } }] },
          { ...mark.body, cells: [{ ...cell, remark: text }] },
          { ...mark.body, [text]: 1 },
        ][where];
        expect(code({ ...mark, body } as AnyEntry)).toBe("ENTRY_MALFORMED");
      }),
    );
    const mark = aMark(aPen("judge-1"));
    expect(code({ ...mark, remark: "he cried" } as AnyEntry)).toBe("ENTRY_MALFORMED");
  });

  it("[S154] takes none in a stop, an incident or a withdrawal either, which everybody is sent", () => {
    const pen = aPen("judge-1");
    for (const entry of [
      pen.write("stopped", { wave: 1 }),
      pen.write("incident", {
        candidate: one,
        text: aTextRef("side-1"),
      }),
      pen.write("withdrawn", { candidate: one, why: "hurt" }),
    ]) {
      expect(code(entry)).toBeUndefined();
      const body = { ...entry.body, remark: "she cried in the hall" };
      expect(code({ ...entry, body } as AnyEntry)).toBe("ENTRY_MALFORMED");
    }
  });

  it("[S154] takes none in a kind of next year: nobody here knows whom they are about", () => {
    const next = { ...aPen("judge-1").write("paused", {}), kind: "mark-of-next-year" };
    expect(code(next)).toBeUndefined();
    expect(code({ ...next, body: { remark: "she cried" } } as AnyEntry)).toBe("ENTRY_MALFORMED");
    const outside = { ...next, remark: "she cried" };
    expect(code(outside as AnyEntry)).toBe("ENTRY_MALFORMED");
  });

  it("[S154] keeps keys of next year that hold no words", () => {
    const mark = aMark(aPen("judge-1"));
    const next = { since: "2027-06-06T10:00Z", ref: "side_4", strokes: [1, 2], isFirm: true };
    expect(code({ ...mark, body: { ...mark.body, next } } as AnyEntry)).toBeUndefined();
  });

  it("[S154] has no note that lies under another child", () => {
    const ref = aTextRef("side-1");
    const where = { section: blocks, item: "low-block" as ItemId, side: null };
    const note = aPen("judge-1").write("note", { candidate: one, ...where, text: ref });
    const filed = { grading: note.grading, kind: "text", digest: "0".repeat(64) } as const;
    const around = { isSeated: () => true, entry: () => undefined };
    expect(sideFault(note, ref, { ...filed, about: one }, around)).toBeNull();
    for (const about of [two, "judge-1", "judge-2"])
      expect(sideFault(note, ref, { ...filed, about }, around)).toBe("about");
  });

  it("[S155] is no larger than its cells, however long its ids are", () => {
    const longest = (letter: string, length: number) => letter.repeat(length);
    const cell = {
      candidate: longest("c", 64) as CandidateId,
      criterion: longest("k", 48) as CriterionId,
      level: "not-seen" as const,
      how: "tapped" as const,
    };
    const where = { section: longest("s", 48) as SectionId, item: longest("i", 48) as ItemId };
    const mark = (cells: number) =>
      aPen(longest("p", 64), longest("d", 64)).write("mark", {
        ...where,
        side: "right",
        cells: Array.from({ length: cells }, () => cell),
        batch: longest("b", 64),
      });
    for (const cells of [1, 5, 400]) expect(code(mark(cells))).toBeUndefined();
    const fat = { ...mark(1), body: { ...mark(1).body, more: Array(1_500).fill(1) } } as AnyEntry;
    expect(JSON.stringify(fat).length).toBeLessThan(80_000);
    expect(code(fat)).toBe("ENTRY_TOO_LARGE");
  });

  it("[S155] bears a time of our days; one in a book is read, and a stop is taken with any", () => {
    const pen = aPen("judge-1");
    for (const at of [0, Date.UTC(2026, 5, 6), Date.UTC(2099, 0, 1)])
      expect(code({ ...aMark(pen), at })).toBeUndefined();
    for (const at of [Date.UTC(2201, 0, 1), 8.64e15]) {
      expect(code({ ...aMark(pen), at })).toBe("ENTRY_MALFORMED");
      expect(readEntry({ ...aMark(pen), at }).ok).toBe(true);
      expect(code({ ...pen.write("stopped", { wave: null }), at })).toBeUndefined();
    }
  });

  it("[S156] swaps two who stand in that wave, and nobody else", () => {
    const { plan, chief } = aTestDay();
    const book = fold(plan);
    const swap = (wave: number, candidates: [CandidateId, CandidateId]) => {
      const entry = chief.write("lanes-swapped", { wave, candidates });
      return refusal(book, { person: entry.by, roles: ["chief"] }, entry)?.code;
    };
    expect(swap(1, [one, two])).toBeUndefined();
    expect(swap(2, [one, two])).toBe("LANE_OTHER");
    expect(swap(1, [one, one])).toBe("LANE_OTHER");
    expect(swap(1, [one, "candidate-9" as CandidateId])).toBe("LANE_OTHER");
  });
});
