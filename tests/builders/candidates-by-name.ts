import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aGradingId } from "./a-pen.ts";
import type { TestDay } from "./a-test-day.ts";

/** Candidates of a day entered once more, with invented names beside the book: Ada1, Ada2 … @param contact  of whoever answers for them */
export function candidatesByName(
  day: TestDay,
  candidates: readonly CandidateId[],
  contact?: string,
): { named: EntryOf<"entered">[]; sides: SideRecord[] } {
  const sides: SideRecord[] = [];
  const named = candidates.map((candidate, index) => {
    const body = {
      given: `Ada${index + 1}`,
      family: "Invented",
      ...(contact === undefined ? {} : { contact }),
    };
    const made = makeSideRecord(
      { grading: aGradingId, about: candidate, kind: "candidate", body },
      { random: (bytes) => new Uint8Array(bytes).fill(7) },
    );
    sides.push(made.record);
    return day.chief.write("entered", {
      candidate,
      number: index + 1,
      rubric: day.rubric.id,
      details: made.ref,
    });
  });
  return { named, sides };
}
