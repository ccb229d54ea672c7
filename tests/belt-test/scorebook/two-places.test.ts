import fc from "fast-check";
import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import type { AnyEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { lockBody } from "../../../src/belt-test/scorebook/judge-view.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aTestDay, type TestDay } from "../../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;

it.each([false, true])(
  "[S249] lets nobody lock an empty line of their own by what stands in the place they took, locked there: %s",
  (isLocked) => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
    const spare = { person: "spare" as PersonId, pen: aPen("spare") };
    const seat = { person: spare.person, roles: ["judge" as const] };
    const begun = [...day.plan, day.chief.write("seated", seat)] as AnyEntry[];
    const marks = aLock(first, blocks, [mia], begun).filter(
      ({ kind }) => isLocked || kind !== "locked",
    );
    for (const [taker, code] of [
      [second, "CELL_BLANK"],
      [spare, undefined],
    ] as const) {
      const given = { judge: first.person, by: taker.person };
      const book = fold([...begun, ...marks]);
      day.chief.hear(book.lamport);
      book.add(day.chief.write("judge-replaced", given) as AnyEntry);
      taker.pen.hear(book.lamport);
      const lock = taker.pen.write("locked", lockBody(book, taker.person, blocks, mia));
      const writer = { person: taker.person, roles: ["judge" as const] };
      expect(refusal(book, writer, lock as AnyEntry)?.code).toBe(code);
    }
  },
);

it("[S252] gives a place to whom the chief said last, however often it went to and fro", () => {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const [first, second] = day.judges.map(({ person }) => person) as [PersonId, PersonId];
  const [spare, other] = ["spare", "other"] as PersonId[] as [PersonId, PersonId];
  const seats = [spare, other].map((person) =>
    day.chief.write("seated", { person, roles: ["judge"] }),
  );
  const after = (...given: [PersonId, PersonId][]) =>
    fold([
      ...day.plan,
      ...seats,
      ...given.map(([judge, by]) => day.chief.write("judge-replaced", { judge, by })),
    ] as AnyEntry[]).panel.judgesOf(mia, blocks);
  expect(after([first, spare])).toEqual([second, spare].sort());
  expect(after([first, spare], [spare, first])).toEqual([first, second]);
  expect(after([first, spare], [spare, first], [first, spare])).toEqual([second, spare].sort());
  // Whom it was given to by mistake has it no more.
  expect(after([first, spare], [first, other])).toEqual([second, other].sort());
  // Who gave a place away may have another.
  expect(after([first, spare], [second, first])).toEqual([first, spare].sort());
  // What went back is not taken along when whoever had it meanwhile goes.
  expect(after([first, spare], [spare, first], [spare, other])).toEqual([first, second]);
  // Three change places by way of a fourth.
  expect(after([first, spare], [second, first], [spare, second])).toEqual([first, second]);
});

it("[S253] takes nobody's locked word by giving places to and fro", () => {
  const day = aTestDay({ judges: 3, candidates: 1 });
  const [first, second] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
  const people = [...day.judges.map(({ person }) => person), "spare" as PersonId];
  const gifts = fc.array(fc.record({ judge: fc.nat(3), by: fc.nat(3) }), { maxLength: 4 });
  const begun = [
    ...day.plan,
    day.chief.write("seated", { person: "spare" as PersonId, roles: ["judge"] }),
  ] as AnyEntry[];
  for (const one of [first, second]) begun.push(...aLock(one, blocks, [mia], begun));
  const last = fold(begun).lamport;
  fc.assert(
    fc.property(gifts, (all) => {
      const pen = aPen("chief", "chief-other-tablet");
      pen.hear(last);
      const book = fold([
        ...begun,
        ...all.map(({ judge, by }) =>
          pen.write("judge-replaced", {
            judge: people[judge] as PersonId,
            by: people[by] as PersonId,
          }),
        ),
      ] as AnyEntry[]);
      const judges = new Set(book.marks.of(mia, "lock").map(({ judge }) => judge));
      expect([...judges].sort()).toEqual([first.person, second.person].sort());
    }),
    { numRuns: 300 },
  );
});
