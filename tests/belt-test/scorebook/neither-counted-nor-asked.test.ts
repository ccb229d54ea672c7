import fc from "fast-check";
import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const who = fc.nat(2);
const acts = fc.array(
  fc.oneof(
    fc.record({ act: fc.constantFrom("give" as const), who, to: who, place: who }),
    fc.record({ act: fc.constantFrom("on", "off", "mark", "mark", "lock" as const), who }),
  ),
  { maxLength: 9 },
);

const comesBack = [
  { act: "mark", who: 0 },
  { act: "give", who: 0, to: 1, place: 0 },
  { act: "give", who: 1, to: 0, place: 0 },
] as const;
const othersLock = [
  { act: "lock", who: 1 },
  { act: "lock", who: 2 },
] as const;

/**
 * A day in which a place goes to and fro, watches are taken off and given anew, and judges mark and lock; each time otherwise.
 * @param isByRight  only whoever has a place there, and has not locked, writes or gives it on, and nobody when the marks are open
 */
function played(
  all: readonly { act: string; who: number; to?: number; place?: number }[],
  { isByRight = false } = {},
): Scorebook {
  const day = aTestDay({ judges: 3, candidates: 1 });
  const lines = day.plan.map(
    (line): AnyEntry =>
      line.kind === "assigned" ? { ...line, body: { ...line.body, wave: 1 } } : line,
  );
  const judge = (at: number) => day.judges[at] as TestDay["judges"][number];
  for (const [at, one] of all.entries()) {
    const { person, pen } = judge(one.who);
    const book = fold(lines);
    const hasLocked = book.openings.hasLocked(person, mia, blocks);
    const isTheirs = book.panel.judgesOf(mia, blocks).includes(person);
    const isHolder = book.panel.successor(judge(one.place ?? 0).person) === person;
    const isRight = !hasLocked && (one.act === "give" ? isHolder : isTheirs);
    if (isByRight && (book.openings.isRevealed(mia, blocks) || !isRight)) continue;
    for (const other of [pen, day.chief]) other.hear(book.lamport);
    const watch = (candidates: CandidateId[]) =>
      day.chief.write("assigned", { judge: person, section: blocks, wave: 1, candidates });
    if (one.act === "on") lines.push(watch([mia]));
    if (one.act === "off") lines.push(watch([]));
    if (one.act === "mark") lines.push(aMark(pen, { level: 1 + (at % 4) }));
    if (one.act === "lock") lines.push(...aLock({ person, pen }, blocks, [mia], lines));
    if (one.act === "give")
      lines.push(
        day.chief.write("judge-replaced", {
          ...{
            judge: person,
            by: judge(one.to ?? 0).person,
            places: [judge(one.place ?? 0).person],
            basis: book.basis,
          },
        }),
      );
  }
  return fold(lines);
}

it("[S304] leaves nothing that a judge marked final, counted nowhere and asked about by nobody, but where another's word stands for it", () => {
  fc.assert(
    fc.property(acts, (all) => {
      const book = played(all);
      if (!book.openings.isRevealed(mia, blocks)) return;
      const judges = ["judge-1", "judge-2", "judge-3"] as PersonId[];
      const of = (marks: readonly { judge: PersonId }[]) => new Set(marks.map((one) => one.judge));
      const counted = of(book.marks.of(mia, "verdict"));
      const marked = new Set(all.flatMap((one) => (one.act === "mark" ? [judges[one.who]] : [])));
      const late = of(book.marks.late(mia));
      const places = book.openings.placesOf(mia, blocks);
      const silent = judges.filter(
        (judge) =>
          marked.has(judge) &&
          !counted.has(judge) &&
          !late.has(judge) &&
          !places.some(({ speakers }) => speakers.includes(judge)),
      );
      expect(silent).toEqual([]);
    }),
    {
      numRuns: 1500,
      // The place comes back, and is taken off; then the others lock.
      examples: [[[...comesBack, { act: "off", who: 0 }, ...othersLock]]],
    },
  );
});

it("[S309] asks about nothing that was marked in time by whoever had a place there, however often places went to and fro", () => {
  const gifts = acts.map((all) => all.filter(({ act }) => act !== "on" && act !== "off"));
  fc.assert(
    fc.property(gifts, (all) => {
      const book = played(all, { isByRight: true });
      expect(book.marks.late(mia)).toEqual([]);
    }),
    {
      numRuns: 1500,
      examples: [
        // It comes back, more is marked, and it goes again.
        [
          [
            ...comesBack,
            { act: "mark", who: 0 },
            { act: "give", who: 0, to: 1, place: 0 },
            ...othersLock,
          ],
        ],
        // Another's place is passed on, and the own one goes later.
        [
          [
            { act: "mark", who: 0 },
            { act: "give", who: 1, to: 0, place: 1 },
            { act: "give", who: 0, to: 2, place: 1 },
            { act: "mark", who: 0 },
            { act: "give", who: 0, to: 1, place: 0 },
            ...othersLock,
          ],
        ],
      ],
    },
  );
});
