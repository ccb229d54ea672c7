import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { givenPlaces } from "../../../src/belt-test/scorebook/given-places.ts";
import { mayTakeOver } from "../../../src/belt-test/scorebook/may-take-over.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const asJudge = (person: PersonId) => ({ person, roles: ["judge" as const] });
const asChief = { person: "chief" as PersonId, roles: ["chief" as const] };
type Judge = ReturnType<typeof aTestDay>["judges"][number];

/** Puts a judge's lock into the book; the first cell is marked with this level. */
function lock(book: Scorebook, judge: Judge, level = 2): AnyEntry {
  book.add(aMark(judge.pen, { level }) as AnyEntry);
  let last: AnyEntry | undefined;
  for (const entry of aLock(judge, blocks, [mia], [...book.entries()])) {
    expect([entry.kind, refusal(book, asJudge(judge.person), entry)]).toEqual([entry.kind, null]);
    book.add(entry);
    last = entry;
  }
  return last as AnyEntry;
}
const levels = (book: Scorebook) =>
  Object.fromEntries(
    book.marks
      .of(mia, "lock")
      .filter(({ criterion, item }) => criterion === "chamber" && item === "rising-block")
      .filter(({ side }) => side === "left")
      .map(({ judge, level }) => [judge, level]),
  );

/** Two judges, and a third who is assigned to the child when the first has locked. */
function aThirdIsAdded() {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const [first, second] = day.judges as [Judge, Judge];
  const book = fold(day.plan);
  lock(book, first);
  const person = "judge-9" as PersonId;
  const third = { person, pen: aPen(person) };
  const early = book.lamport + 1;
  day.chief.hear(early + 20);
  book.add(day.chief.write("seated", { person, roles: ["judge"] }) as AnyEntry);
  const added = { judge: person, section: blocks, candidates: [mia] };
  book.add(day.chief.write("assigned", added) as AnyEntry);
  third.pen.hear(book.lamport);
  return { day, book, first, second, third, early };
}

describe("what comes late", () => {
  it("[S120] with an older logical time opens nothing before the plan that is here, nor before others' locks", () => {
    const { book, second, third, early } = aThirdIsAdded();
    const stepBack = second.pen.write("recused", { candidate: mia, section: null });
    const old = { ...stepBack, lamport: early } as AnyEntry;
    expect(refusal(book, asJudge(second.person), old)?.code).toBe("PLAN_OLDER");
    lock(book, third, 3);
    expect(refusal(book, asJudge(second.person), old)?.code).toBe("PLAN_OLDER");
    const now = { ...stepBack, lamport: book.lamport + 1 } as AnyEntry;
    expect(refusal(book, asJudge(second.person), now)).toBeNull();
    book.add(now);
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    expect(levels(book)).toEqual({ "judge-1": 2, "judge-9": 3 });
  });

  it("[S120] is asked the same of a lock, and of a place that is given to another", () => {
    const { book, first, second, early } = aThirdIsAdded();
    const late = aLock(second, blocks, [mia], [...book.entries()]).map((entry) => ({
      ...entry,
      lamport: early,
    })) as AnyEntry[];
    const before = fold([...book.entries(), ...late.slice(0, -1)]);
    expect(refusal(before, asJudge(second.person), late.at(-1) as AnyEntry)?.code).toBe(
      "PLAN_OLDER",
    );
    const replaced = aPen("chief", "second-tablet").write("judge-replaced", {
      judge: second.person,
      by: first.person,
    });
    const old = { ...replaced, lamport: early } as AnyEntry;
    expect(refusal(book, asChief, old)?.code).toBe("PLAN_OLDER");
    const now = { ...replaced, lamport: book.lamport + 1 } as AnyEntry;
    expect(refusal(book, asChief, now)).toBeNull();
  });

  it("[S120] takes no lock that would open the marks before one of somebody whose watch was taken off meanwhile", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [Judge, Judge];
    const watch = { judge: second.person, section: blocks, wave: 1 };
    const book = fold(
      day.plan.filter(({ kind, body }) => {
        const { judge, section } = body as { judge?: string; section?: string };
        return kind !== "assigned" || judge !== second.person || section !== blocks;
      }),
    );
    book.add(day.chief.write("assigned", { ...watch, candidates: [mia] }) as AnyEntry);
    // A chief without a line takes the watch off; the judge, who has not heard of it, locks.
    const off = day.chief.write("assigned", { ...watch, candidates: [] }) as AnyEntry;
    first.pen.hear(book.lamport + 10);
    const words = aLock(first, blocks, [mia], [...book.entries()]);
    second.pen.hear(book.lamport + 40);
    lock(book, second, 3);
    expect(refusal(book, asChief, off)).toBeNull();
    book.add(off);
    // Another lock, of before that one, would open the marks without it.
    for (const entry of words.slice(0, -1)) book.add(entry);
    const last = words.at(-1) as AnyEntry;
    expect(refusal(book, asJudge(first.person), last)?.code).toBe("PLAN_OLDER");
    const anew = { ...last, lamport: book.lamport + 1 } as AnyEntry;
    expect(refusal(book, asJudge(first.person), anew)).toBeNull();
    book.add(anew);
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    expect(book.openings.hasLockThatCounts(second.person, mia, blocks)).toBe(true);
  });

  it("[S120] is taken where nobody loses anything by it, whatever it says of the time", () => {
    const day = aTestDay({ judges: 3, candidates: 1 });
    const [first, second, third] = day.judges as [Judge, Judge, Judge];
    const book = fold(day.plan);
    const stepBack = third.pen.write("recused", { candidate: mia, section: null }) as AnyEntry;
    first.pen.hear(40);
    lock(book, first);
    expect(refusal(book, asJudge(third.person), stepBack)).toBeNull();
    lock(book, second, 3);
    book.add(stepBack);
    expect(levels(book)).toEqual({ "judge-1": 2, "judge-2": 3 });
  });

  it("[S121] the closing opens what was not, and counts whoever had locked when it came", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first] = day.judges as [Judge];
    const book = fold(day.plan);
    first.pen.hear(50);
    const locked = lock(book, first);
    const closed = day.chief.write("closed", {}) as AnyEntry;
    expect(closed.lamport).toBeLessThan(locked.lamport);
    book.add(closed);
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    expect(levels(book)).toEqual({ "judge-1": 2 });
  });

  it("[S121] a lock that comes after the closing changes nothing of what the closing opened", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [Judge, Judge];
    const book = fold(day.plan);
    lock(book, first);
    const late = aLock(second, blocks, [mia], [...book.entries()]) as AnyEntry[];
    day.chief.hear(book.lamport + 10);
    for (const entry of [...late.slice(0, -1), day.chief.write("closed", {}) as AnyEntry])
      book.add(entry);
    expect(refusal(book, asJudge(second.person), late.at(-1) as AnyEntry)?.code).toBe(
      "SECTION_OPEN",
    );
    expect(levels(book)).toEqual({ "judge-1": 2 });
  });

  it("[S124] a judge whose place was given away locks no more there, whenever it was written", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [Judge, Judge];
    const entries = aLock(first, blocks, [mia], day.plan) as AnyEntry[];
    day.chief.hear(60);
    const book = fold([
      ...day.plan,
      ...entries.slice(0, -1),
      day.chief.write("judge-replaced", {
        judge: first.person,
        by: "judge-9" as PersonId,
      }) as AnyEntry,
    ]);
    const late = entries.at(-1) as AnyEntry;
    expect(refusal(book, asJudge(first.person), late)?.code).toBe("NOT_ASSIGNED");
    lock(book, second);
    expect(book.openings.isRevealed(mia, blocks)).toBe(false);
  });
});

describe("a judge with two places", () => {
  it("[S123] displaces nothing of the one who had the second place, given before the reveal or after it", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [Judge, Judge];
    const book = fold(day.plan);
    lock(book, first, 2);
    const replaced = { judge: first.person, by: second.person };
    const before = fold([
      ...book.entries(),
      { ...day.chief.write("judge-replaced", replaced), lamport: book.lamport + 1 } as AnyEntry,
    ]);
    second.pen.hear(before.lamport);
    lock(book, second, 4);
    const after = fold([
      ...book.entries(),
      { ...day.chief.write("judge-replaced", replaced), lamport: book.lamport + 1 } as AnyEntry,
    ]);
    for (const entry of book.entries()) if (entry.by === second.person) before.add(entry);
    expect(before.openings.isRevealed(mia, blocks)).toBe(true);
    for (const one of [before, after]) expect(levels(one)).toEqual({ "judge-1": 2, "judge-2": 4 });
  });
});

describe("a successor", () => {
  it("[S125] changes nothing of what the predecessor had locked, whichever lock opens the section", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges as [Judge, Judge];
    const book = fold(day.plan);
    lock(book, second, 2);
    day.chief.hear(book.lamport);
    const third = { person: "judge-9" as PersonId };
    const replaced = { judge: second.person, by: third.person };
    book.add(day.chief.write("judge-replaced", replaced) as AnyEntry);
    // The successor's count is ahead of the lock that opens the section, or behind it.
    for (const [its, last] of [
      [20, 1000],
      [1000, 20],
    ] as const) {
      const one = fold(book.entries());
      const pens = [third, first].map(({ person }) => aPen(person, `${person}-${its}`));
      const [successor, other] = pens as [typeof first.pen, typeof first.pen];
      successor.hear(book.lamport + its);
      other.hear(book.lamport + last);
      // One tablet had not heard of the other's lock: both are words of their own.
      const early = aMark(successor, { level: 4 });
      const spoken = [...one.entries(), early];
      const there = aLock({ person: third.person, pen: successor }, blocks, [mia], spoken);
      expect(there.map((entry) => refusal(one, asJudge(third.person), entry)?.code)).toContain(
        "PLACE_LOCKED",
      );
      for (const entry of [early, ...there]) one.add(entry as AnyEntry);
      lock(one, { person: first.person, pen: other }, 3);
      expect(one.openings.isRevealed(mia, blocks)).toBe(true);
      expect(levels(one)).toEqual({
        "judge-1": 3,
        "judge-2": 2,
        ...(its < last && { "judge-9": 4 }),
      });
    }
  });
});

describe("a candidate", () => {
  it("[S122] is entered for a rubric that the book has; a book by the first rules goes on as it was begun", () => {
    const answers = ([1, 2] as const).map((rules) => {
      const day = aTestDay({ judges: 1, candidates: 1, rules });
      const stranger = { candidate: "candidate-9" as CandidateId, number: 9 };
      const book = fold(day.plan);
      return [day.rubric.id, "no-such" as RubricId].map(
        (rubric) =>
          refusal(book, asChief, day.chief.write("entered", { ...stranger, rubric }) as AnyEntry)
            ?.code,
      );
    });
    expect(answers).toEqual([
      [undefined, undefined],
      [undefined, "RUBRIC_UNKNOWN"],
    ]);
  });

  it("[S250] gives no place away in a past in which the marks were closed: what was opened stays whose it was", () => {
    fc.assert(
      fc.property(
        fc.record({ judge: fc.nat(2), by: fc.nat(3), lamport: fc.integer({ min: 1, max: 60 }) }),
        fc.constantFrom("locks", "chief", "closing"),
        ({ judge, by, lamport }, opens) => {
          const day = aTestDay({ judges: 3, candidates: 1 });
          const book = fold(day.plan);
          const judges = day.judges as Judge[];
          const locking = opens === "locks" ? judges : judges.slice(1);
          for (const [at, one] of locking.entries()) lock(book, one, at + 1);
          if (opens !== "locks") book.add(aMark(judges[0]?.pen as never, { level: 4 }) as AnyEntry);
          day.chief.hear(book.lamport);
          const reason = { id: anId("why"), digest: "0".repeat(64) };
          if (opens === "chief") {
            const body = { section: blocks, candidates: [mia], reason };
            book.add(day.chief.write("revealed", body) as AnyEntry);
          } else if (opens === "closing")
            book.add(day.chief.write("closed", { basis: book.basis }) as AnyEntry);
          const stood = book.marks.of(mia, "lock");
          const counted = book.marks.of(mia, "verdict");
          const people = [...judges.map(({ person }) => person), "chief" as PersonId];
          const liar = aPen("chief", "another-tablet");
          const body = { judge: people[judge] as PersonId, by: people[by] as PersonId };
          const entry = { ...liar.write("judge-replaced", body), lamport } as AnyEntry;
          if (refusal(book, asChief, entry) === null) book.add(entry);
          expect(book.marks.of(mia, "lock")).toEqual(stood);
          expect(book.marks.of(mia, "verdict")).toEqual(counted);
        },
      ),
    );
  });
});

describe("a watch of several children", () => {
  // A stranger's chief could take that judge off no other child, nor off the panel.
  it("[S268] is changed for the others where its judge stepped back from one whose marks are open", () => {
    const day = aTestDay({ judges: 2, candidates: 3 });
    const [first, second] = day.judges as [Judge, Judge];
    const [one, two] = ["candidate-2", "candidate-3"] as CandidateId[];
    const book = fold(inWaveOne(day.plan));
    first.pen.hear(book.lamport);
    book.add(first.pen.write("recused", { candidate: mia, section: null }) as AnyEntry);
    second.pen.hear(book.lamport);
    lock(book, second);
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    day.chief.hear(book.lamport);
    const watches = (candidates: (CandidateId | undefined)[]) =>
      day.chief.write("assigned", {
        judge: first.person,
        section: blocks,
        wave: 1,
        candidates: candidates as CandidateId[],
      }) as AnyEntry;
    const less = watches([mia, two]);
    expect(refusal(book, asChief, less)).toBeNull();
    book.add(less);
    expect(book.panel.judgesOf(one as CandidateId, blocks)).toEqual([second.person]);
    expect(book.panel.judgesOf(mia, blocks)).toEqual([second.person]);
    const none = watches([]);
    expect(refusal(book, asChief, none)).toBeNull();
    book.add(none);
    // Nobody is added where the marks are open, whoever had the watch once.
    expect(refusal(book, asChief, watches([mia]))?.code).toBe("SECTION_OPEN");
  });
});

describe("a place that is given to somebody who is not asked there", () => {
  /** The second has locked; of the first the marks are waited for. */
  function waiting(of: "stepped back" | "locked") {
    const day = aTestDay({ judges: 3, candidates: 1 });
    const [first, second, third] = day.judges as [Judge, Judge, Judge];
    const book = fold(day.plan);
    for (const { pen } of day.judges) pen.hear(book.lamport);
    if (of === "locked") lock(book, third);
    else book.add(third.pen.write("recused", { candidate: mia, section: null }) as AnyEntry);
    second.pen.hear(book.lamport);
    lock(book, second);
    first.pen.hear(book.lamport);
    book.add(aMark(first.pen, { level: 1 }) as AnyEntry);
    day.chief.hear(book.lamport);
    const gives = (by: PersonId) =>
      day.chief.write("judge-replaced", { judge: first.person, by }) as AnyEntry;
    return { day, book, first, third, gives };
  }

  // A stranger's chief gave a place to a judge who had stepped back: the marks were open, half filled, and nobody was told.
  it.each(["stepped back", "locked"] as const)(
    "[S274] opens no marks that wait for nobody else: to one who %s",
    (of) => {
      const { book, day, first, third, gives } = waiting(of);
      expect(refusal(book, asChief, gives(third.person))?.code).toBe("PLAN_OLDER");
      const hasLocked = (judge: PersonId) => book.openings.hasLocked(judge, mia, blocks);
      expect(mayTakeOver(book, first.person, third.person, hasLocked)).toBe(false);
      const person = "judge-9" as PersonId;
      const seated = day.chief.write("seated", { person, roles: ["judge"] }) as AnyEntry;
      book.add(seated);
      expect(mayTakeOver(book, first.person, person, hasLocked)).toBe(true);
      expect(refusal(book, asChief, gives(person))).toBeNull();
    },
  );
});

it("[S274] offers no place to whoever has locked there in a place that is another's now", () => {
  const day = aTestDay({ judges: 3, candidates: 1 });
  const [first, second, third] = day.judges as [Judge, Judge, Judge];
  const book = fold(day.plan);
  for (const { pen } of day.judges) pen.hear(book.lamport);
  lock(book, third);
  day.chief.hear(book.lamport);
  const person = "judge-9" as PersonId;
  book.add(day.chief.write("seated", { person, roles: ["judge"] }) as AnyEntry);
  book.add(day.chief.write("judge-replaced", { judge: third.person, by: person }) as AnyEntry);
  second.pen.hear(book.lamport);
  lock(book, second);
  const hasLocked = (judge: PersonId) => book.openings.hasLocked(judge, mia, blocks);
  expect(mayTakeOver(book, first.person, third.person, hasLocked)).toBe(false);
  // Given all the same, the lock is the word of the place that its judge has since: the other waits for whoever has it.
  const gives = day.chief.write("judge-replaced", { judge: first.person, by: third.person });
  expect(refusal(book, asChief, gives as AnyEntry)).toBeNull();
  book.add(gives as AnyEntry);
  expect(book.openings.isRevealed(mia, blocks)).toBe(false);
});

it("[S279] offers no place of a judge who has it from another where the hub would refuse it", () => {
  const day = aTestDay({ judges: 3, candidates: 1 });
  const [first, second, third] = day.judges as [Judge, Judge, Judge];
  const book = fold(day.plan);
  for (const { pen } of day.judges) pen.hear(book.lamport);
  const person = "judge-9" as PersonId;
  book.add(day.chief.write("seated", { person, roles: ["judge"] }) as AnyEntry);
  book.add(day.chief.write("judge-replaced", { judge: first.person, by: person }) as AnyEntry);
  for (const judge of [second, third]) {
    judge.pen.hear(book.lamport);
    lock(book, judge);
  }
  const hasLocked = (judge: PersonId) => book.openings.hasLocked(judge, mia, blocks);
  day.chief.hear(book.lamport);
  const gives = day.chief.write("judge-replaced", { judge: person, by: third.person });
  expect(refusal(book, asChief, gives as AnyEntry)?.code).toBe("PLAN_OLDER");
  expect(mayTakeOver(book, person, third.person, hasLocked)).toBe(false);
});

// A second chief's line, which gave nothing away, undid a lock that the hub had: the marks waited for ever, and counted no more.
it("[S281] takes no word that a lock was not heard of where the marks are closed", () => {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const [first, second] = day.judges as [Judge, Judge];
  const book = fold(day.plan);
  for (const { pen } of day.judges) pen.hear(book.lamport);
  lock(book, first);
  day.chief.hear(book.lamport);
  const gives = day.chief.write("judge-replaced", {
    judge: second.person,
    by: "judge-9" as PersonId,
    places: [],
    unheard: [{ judge: first.person, section: blocks, candidates: [mia] }],
  });
  const seated = day.chief.write("seated", { person: "judge-9" as PersonId, roles: ["judge"] });
  book.add(seated as AnyEntry);
  expect(refusal(book, asChief, gives as AnyEntry)?.code).toBe("PLAN_OLDER");
});

/** As the app plans: each watch is one of a wave. */
const inWaveOne = (plan: readonly AnyEntry[]): AnyEntry[] =>
  plan.map((entry) =>
    entry.kind === "assigned"
      ? ({ ...entry, body: { ...(entry.body as object), wave: 1 } } as AnyEntry)
      : entry,
  );

it("[Y221] gives a place back where the hub takes it: a lock of its new holder stays and opens nothing", () => {
  const day = aTestDay({ judges: 3, candidates: 1 });
  const [first, second] = day.judges as [Judge, Judge, Judge];
  const book = fold(day.plan);
  const gives = { judge: first.person, by: second.person, places: [first.person] };
  book.add(day.chief.write("judge-replaced", gives) as AnyEntry);
  second.pen.hear(book.lamport);
  lock(book, second);
  day.chief.hear(book.lamport);
  expect(givenPlaces(book)).toEqual([
    { from: first.person, holder: second.person, places: [first.person] },
  ]);
  const hasLocked = (judge: PersonId) => book.openings.hasLocked(judge, mia, blocks);
  expect(mayTakeOver(book, second.person, first.person, hasLocked, [first.person])).toBe(true);
  const back = { judge: second.person, by: first.person, places: [first.person] };
  const line = day.chief.write("judge-replaced", back) as AnyEntry;
  expect(refusal(book, asChief, line)).toBeNull();
  book.add(line);
  expect(book.openings.isRevealed(mia, blocks)).toBe(false);
  expect(givenPlaces(book)).toEqual([]);
});
