import fc from "fast-check";
import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { heldAtGiving } from "../../../src/belt-test/scorebook/held-on-the-road.ts";
import { lockBody } from "../../../src/belt-test/scorebook/judge-view.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";

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
      [spare, isLocked ? "PLACE_LOCKED" : undefined],
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

it("[S255] says the same of places in whatever order the lines are read", () => {
  const { chief, plan, ...day } = aTestDay({ judges: 2, candidates: 1 });
  const spares = ["spare", "other"].map((name) => ({
    person: name as PersonId,
    pen: aPen(name),
  }));
  const people = [...day.judges, ...spares] as TestDay["judges"];
  const seats = spares.map(({ person }) => chief.write("seated", { person, roles: ["judge"] }));
  const begun = [...plan, ...seats] as AnyEntry[];
  const gifts = fc.array(fc.record({ judge: fc.nat(3), by: fc.nat(3) }), { maxLength: 5 });
  fc.assert(
    fc.property(gifts, fc.nat(), fc.subarray([0, 1, 2, 3]), (all, seed, locking) => {
      const pen = aPen("chief", "chief-other-tablet");
      pen.hear(fold(begun).lamport);
      const given = all.map(({ judge, by }) =>
        pen.write("judge-replaced", {
          judge: people[judge]?.person as PersonId,
          by: people[by]?.person as PersonId,
        }),
      );
      const lines = [...begun, ...given] as AnyEntry[];
      for (const [at, judge] of people.entries()) {
        lines.push(aMark(judge.pen, { level: 1 + at }) as AnyEntry);
        if (locking.includes(at)) lines.push(...aLock(judge, blocks, [mia], lines));
      }
      const shuffled = [...lines].sort(
        (a, b) => hashed(`${a.id}${seed}`) - hashed(`${b.id}${seed}`),
      );
      const [one, other] = [fold(lines), fold(shuffled)];
      for (const as of ["now", "lock", "verdict"] as const)
        expect(sorted(other, as)).toEqual(sorted(one, as));
      expect(other.panel.judgesOf(mia, blocks)).toEqual(one.panel.judgesOf(mia, blocks));
    }),
    {
      numRuns: 200,
      // One stand-in with two places, who is replaced: by which they are known must not go by which line was read first.
      examples: [1, 2, 3, 4, 5, 6, 7, 8].map((seed) => [
        [
          { judge: 1, by: 2 },
          { judge: 0, by: 2 },
          { judge: 2, by: 3 },
        ],
        seed,
        [1, 3],
      ]),
    },
  );
});

it.each([
  // One stand-in for two judges, one of whom had locked.
  {
    given: [
      [2, 3],
      [1, 3],
    ],
    locks: [2],
    after: [3, 0],
  },
  {
    given: [
      [0, 1],
      [1, 3],
    ],
    locks: [0],
    after: [3, 2],
  },
  // A place goes to somebody whose own was taken off when they had locked.
  { given: [[1, 2]], locks: [2, 1], off: 2, after: [0] },
  { given: [[1, 3]], locks: [2], off: 2, after: [3, 0] },
])("[S253] counts everybody who has locked, whole, whatever became of their places: %j", (one) => {
  const { given, locks, off, after } = one as {
    given: [number, number][];
    locks: number[];
    off?: number;
    after: number[];
  };
  const day = aTestDay({ judges: 3, candidates: 1 });
  const spare = { person: "spare" as PersonId, pen: aPen("spare") };
  const judges = [...day.judges, spare] as TestDay["judges"];
  const book = fold(day.plan);
  const chiefSays = (...[kind, body]: Parameters<typeof day.chief.write>) => {
    day.chief.hear(book.lamport);
    book.add(day.chief.write(kind, body) as AnyEntry);
  };
  const lock = (at: number) => {
    const judge = judges[at] as TestDay["judges"][number];
    judge.pen.hear(book.lamport);
    book.add(aMark(judge.pen, { level: 1 + at }) as AnyEntry);
    for (const entry of aLock(judge, blocks, [mia], [...book.entries()])) {
      const writer = { person: judge.person, roles: ["judge" as const] };
      expect(refusal(book, writer, entry as AnyEntry)).toBeNull();
      book.add(entry as AnyEntry);
    }
  };
  chiefSays("seated", { person: spare.person, roles: ["judge"] });
  for (const at of locks) lock(at);
  if (off !== undefined)
    for (const watch of book.panel.assignments)
      if (watch.judge === judges[off]?.person && watch.section === blocks)
        chiefSays("assigned", { ...watch, candidates: [] });
  for (const [judge, by] of given)
    chiefSays("judge-replaced", {
      judge: judges[judge]?.person as PersonId,
      by: judges[by]?.person as PersonId,
    });
  for (const at of after) lock(at);
  expect(book.openings.isRevealed(mia, blocks)).toBe(true);
  const levels = book.marks
    .of(mia, "lock")
    .flatMap(({ level }) => (level === "not-seen" ? [] : [level]));
  expect([...new Set(levels)].sort()).toEqual([...locks, ...after].map((at) => 1 + at).sort());
});

const hashed = (text: string): number =>
  [...text].reduce((sum, letter) => (sum * 31 + letter.charCodeAt(0)) | 0, 7);
const sorted = (book: ReturnType<typeof fold>, as: "now" | "lock" | "verdict") =>
  book.marks
    .of(mia, as)
    .map((mark) => JSON.stringify(mark))
    .sort();

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

it("[S253] says one word of the section as a whole in each place too: that of whoever locked there", () => {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const [first, second] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
  const spare = { person: "spare" as PersonId, pen: aPen("spare") };
  const seat = { person: spare.person, roles: ["judge" as const] };
  const book = fold([...day.plan, day.chief.write("seated", seat)] as AnyEntry[]);
  const says = ({ pen }: typeof spare, judgement: number) =>
    book.add(pen.write("overall", { candidate: mia, section: blocks, judgement }) as AnyEntry);
  says(first, 1);
  expect(book.marks.overalls(mia)).toMatchObject([{ judge: first.person, judgement: 1 }]);
  const given = { judge: first.person, by: spare.person };
  day.chief.hear(book.lamport);
  const held = heldAtGiving(book, given);
  book.add(day.chief.write("judge-replaced", { ...given, ...held }) as AnyEntry);
  for (const judge of [spare, second]) {
    judge.pen.hear(book.lamport);
    says(judge, 4);
    for (const line of aLock(judge, blocks, [mia], [...book.entries()])) book.add(line);
  }
  expect(book.openings.isRevealed(mia, blocks)).toBe(true);
  const judges = book.marks.overalls(mia).map(({ judge }) => judge);
  expect(judges.sort()).toEqual([second.person, spare.person].sort());
  expect(book.marks.overall(first.person, mia, blocks)).toBe(1);
});

it.each(["moved away", "stepped back"])(
  "[S253] what was written and not locked by whoever had a place and is in none any more counts beside nobody: %s",
  (why) => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
    const spare = { person: "spare" as PersonId, pen: aPen("spare") };
    const seat = { person: spare.person, roles: ["judge" as const] };
    // In a wave, so that a watch can be taken off.
    const plan = day.plan.map((line) =>
      line.kind === "assigned" ? { ...line, body: { ...line.body, wave: 1 } } : line,
    );
    const book = fold([...plan, day.chief.write("seated", seat)] as AnyEntry[]);
    const add = (line: unknown) => book.add(line as AnyEntry);
    add(aMark(first.pen, { level: 1 }));
    first.pen.hear(book.lamport);
    if (why === "stepped back") add(first.pen.write("recused", { candidate: mia, section: null }));
    const says = (kind: "judge-replaced" | "assigned", body: object) => {
      day.chief.hear(book.lamport);
      add(day.chief.write(kind, body as never));
    };
    const given = { judge: first.person, by: spare.person };
    says("judge-replaced", { ...given, ...heldAtGiving(book, given) });
    if (why === "moved away")
      says("assigned", { judge: first.person, section: blocks, candidates: [], wave: 1 });
    for (const judge of why === "moved away" ? [second] : [spare, second]) {
      judge.pen.hear(book.lamport);
      add(aMark(judge.pen, { level: judge === spare ? "not-seen" : 4 }));
      for (const line of aLock(judge, blocks, [mia], [...book.entries()])) add(line);
    }
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    const counted = new Set(book.marks.of(mia, "verdict").map(({ judge }) => judge));
    expect(counted.has(first.person)).toBe(false);
    expect(counted.has(second.person)).toBe(true);
  },
);
