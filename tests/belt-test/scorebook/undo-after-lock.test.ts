import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { lockBody, restBodies } from "../../../src/belt-test/scorebook/judge-view.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { lastUndoable, undoOf, writtenTogether } from "../../../src/belt-test/scorebook/undo.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const section = "blocks" as SectionId;

describe("undo on a day that goes awry", () => {
  it("[S110] takes back nothing of who is locked, nor of who left or was given away, however often it is tapped", () => {
    const children = fc.subarray([0, 1, 2]);
    fc.assert(
      fc.property(children, children, children, (locked, left, given) => {
        const day = aTestDay({ judges: 1 });
        const [judge] = day.judges;
        if (!judge) throw new Error("a judge");
        const { person, pen } = judge;
        const book = fold(day.plan);
        const add = (...entries: AnyEntry[]) => {
          for (const entry of entries) book.add(entry);
        };
        const steps = waveScript(book, 1).filter((one) => one.asked && one.section === section);
        for (const [at, step] of steps.entries())
          add(
            ...restBodies(book, person, step, day.candidates).map((body) =>
              pen.write("mark", { ...body, batch: `act-${at}` }),
            ),
          );
        pen.write("overall", { candidate: child(0), section, judgement: null });
        for (const at of locked)
          add(pen.write("locked", lockBody(book, person, section, child(at))));
        day.chief.hear(book.lamport);
        for (const at of left)
          add(day.chief.write("withdrawn", { candidate: child(at), why: "hurt" }));

        for (const at of given) add(pen.write("recused", { candidate: child(at), section: null }));

        const levels = (at: number) => book.marks.of(child(at), "now").map(({ level }) => level);
        const untouched = [...new Set([...locked, ...left, ...given])];
        const before = untouched.map(levels);
        for (let tap = 0; tap < 30; tap++) {
          const last = lastUndoable(book, person);
          if (!last) break;
          for (const one of writtenTogether(book, last)) {
            const { kind, body, replaces } = undoOf(book, one);
            add(pen.write(kind, body, replaces));
          }
        }
        expect(untouched.map(levels)).toEqual(before);
        // Whatever is nobody's but the judge's own is taken back to the last.
        for (const at of [0, 1, 2]) if (!untouched.includes(at)) expect(levels(at)).toEqual([]);

        function child(at: number): CandidateId {
          return day.candidates[at] as CandidateId;
        }
      }),
    );
  });

  it("[S110] takes back nothing of what is asked of this judge no more: excused, or of a child in no wave", () => {
    const day = aTestDay({ judges: 1 });
    const [judge] = day.judges;
    if (!judge) throw new Error("a judge");
    const [excused, waveless, stays] = day.candidates as [CandidateId, CandidateId, CandidateId];
    const { person, pen } = judge;
    const book = fold(day.plan);
    const [step] = waveScript(book, 1);
    if (!step?.item) throw new Error("a step");
    for (const body of restBodies(book, person, step, day.candidates))
      book.add(pen.write("mark", { ...body, batch: "one act" }) as AnyEntry);
    day.chief.hear(book.lamport);
    book.add(day.chief.write("excused", { candidate: excused, section, item: step.item }));
    book.add(day.chief.write("lined-up", { wave: 1, lanes: [excused, stays] }));
    const levels = (one: CandidateId) => book.marks.of(one, "now").length;
    const before = [excused, waveless].map(levels);
    for (let tap = 0; tap < 5; tap++) {
      const last = lastUndoable(book, person);
      if (!last) break;
      for (const one of writtenTogether(book, last)) {
        const { kind, body, replaces } = undoOf(book, one);
        book.add(pen.write(kind, body, replaces) as AnyEntry);
      }
    }
    expect([excused, waveless].map(levels)).toEqual(before);
    expect(levels(stays)).toBe(0);
  });
});
