import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { mergeable } from "../../../src/belt-test/intake/persons-file.ts";
import type { EntryKind } from "../../../src/belt-test/kinds/all-kinds.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { heldAtGiving, heldAtOpening } from "../../../src/belt-test/scorebook/held-on-the-road.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { readScorebookFile } from "../../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../../src/belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { takePersonsFile } from "../../../src/hub/test-room/persons-file.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const chief = "chief" as PersonId;
const other = "second-chief" as PersonId;
type Judge = TestDay["judges"][number];
const { ref, record } = makeSideRecord(
  { grading: aGradingId, about: chief, kind: "text", body: { text: "Went home." } },
  { random: (bytes) => new Uint8Array(bytes) },
);

/** A day without a hub: the chief's device, and files that are brought to it. */
function aRoad() {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const [first, second] = day.judges as [Judge, Judge];
  const spares = ["spare", "other"].map((name) => ({
    person: name as PersonId,
    pen: aPen(name),
  })) as [Judge, Judge];
  const seats = [chief, other, ...spares.map(({ person }) => person)].map((person) =>
    day.chief.write("seated", {
      person,
      roles: [person === chief || person === other ? "chief" : "judge"],
    }),
  );
  const plan = [...day.plan, ...seats] as AnyEntry[];
  const own = new Map<PersonId, AnyEntry[]>([[chief, [...seats, ...day.plan] as AnyEntry[]]]);
  const said = (person: PersonId, lines: readonly AnyEntry[]) => {
    const all = [...(own.get(person) ?? []), ...lines];
    own.set(person, all);
    return all;
  };
  /** @param heard  what this judge's tablet has of the others */
  const marks = ({ person, pen }: Judge, level: number, locks: boolean, heard = plan) => {
    pen.hear(fold(heard).lamport);
    const known = [...heard, ...(own.get(person) ?? [])];
    const mark = aMark(pen, { level }) as AnyEntry;
    const lock = locks ? aLock({ person, pen }, blocks, [mia], [...known, mark]) : [];
    said(person, [mark, ...(lock as AnyEntry[])]);
  };
  /** This judge's tablet has what it heard of the others, and steps back from the child, everywhere or there. */
  const stepsBack = ({ person, pen }: Judge, section: SectionId | null, heard = plan) => {
    pen.hear(fold(heard).lamport);
    said(person, [pen.write("recused", { candidate: mia, section }) as AnyEntry]);
  };
  /** A device of a chief's, to which files are brought. */
  const at = (person: PersonId, pen: Pen) => {
    const book = fold(plan);
    const brings = ({ person: whose }: Judge) => {
      const file = { grading: aGradingId, entries: [...plan, ...(own.get(whose) ?? [])] };
      const sides = { refsOf: () => [], hasSide: () => true };
      const { taken, refused } = mergeable(book, file, whose, sides);
      for (const entry of taken) book.add(entry);
      return refused.map(({ code }) => code);
    };
    const says = <Kind extends EntryKind>(kind: Kind, body: EntryBody<Kind>) => {
      pen.hear(book.lamport);
      const line = pen.write(kind, body) as AnyEntry;
      book.add(line);
      said(person, [line]);
      return line.id;
    };
    const givesTo = (judge: PersonId, by: PersonId) => {
      const held = heldAtGiving(book, { judge, by });
      const of = says("judge-replaced", { judge, by, isHeldBeside: true });
      says("held-at-giving", { of, ...held });
    };
    const opens = () => {
      const held = heldAtOpening(book, mia, blocks);
      says("revealed", { section: blocks, candidates: [mia], reason: ref, ...held });
    };
    return { book, brings, givesTo, opens };
  };
  /** In the evening all files go into a hub that knows nothing yet, the chief's first. */
  const inTheEvening = (judges: readonly Judge[], unheard?: PersonId | "any") =>
    into(openMemoryScorebook(), [chief, ...judges.map((one) => one.person)], unheard);
  const into = async (
    store: ReturnType<typeof openMemoryScorebook>,
    persons: readonly PersonId[],
    unheard?: PersonId | "any",
  ) => {
    for (const person of persons) {
      const lines =
        person === chief ? (own.get(chief) ?? []) : [...plan, ...(own.get(person) ?? [])];
      const read = readScorebookFile(scorebookFile(aGradingId, lines, [record], person));
      if (!read.ok) throw new Error("the file cannot be read");
      const took = await takePersonsFile(store, read.file as never, []);
      expect(
        took?.refused.filter(({ by }) => by === person && by !== unheard && unheard !== "any"),
      ).toEqual([]);
    }
    return fold((await store.read(aGradingId, 0)).map(({ entry }) => entry));
  };
  const hasLocked = ({ person }: Judge) =>
    fold(own.get(person) ?? []).openings.hasLocked(person, mia, blocks);
  return {
    ...at(chief, day.chief),
    away: at(other, aPen(other)),
    hasLocked,
    first,
    second,
    spares,
    marks,
    stepsBack,
    inTheEvening,
    into,
  };
}
const counted = (book: ReturnType<typeof fold>, as: "lock" | "verdict") =>
  book.marks
    .of(mia, as)
    .flatMap(({ judge, level }) => (level === "not-seen" ? [] : [`${judge} ${level}`]))
    .sort();

describe("a day on the road", () => {
  it("[S257] lets nobody's late marks count because their place is given away", () => {
    const { book, first, second, spares, marks, brings, givesTo } = aRoad();
    const [spare, other] = spares;
    for (const one of [first, second]) {
      marks(one, 3, true);
      expect(brings(one)).toEqual([]);
    }
    const stood = counted(book, "verdict");
    givesTo(first.person, spare.person);
    marks(spare, 1, false);
    brings(spare);
    expect(book.marks.late(mia).map(({ judge }) => judge)).toEqual([spare.person]);
    givesTo(spare.person, other.person);
    expect(counted(book, "verdict")).toEqual(stood);
    expect(book.marks.late(mia).map(({ judge }) => judge)).toEqual([spare.person]);
  });

  it.each([
    "replaced",
    "replaced by one of the panel",
    "opened without",
    "opened without, half marked",
    "stepped back with marks, and opened without anybody",
    "stepped back with marks, everybody else locked",
  ])(
    "[S258] goes into a hub in the evening as it was, the chief's file first: %s",
    async (what) => {
      const road = aRoad();
      const { book, first, second, spares, marks, brings, givesTo, opens, inTheEvening } = road;
      if (what.startsWith("stepped back")) {
        marks(second, 2, false);
        road.stepsBack(second, null);
        brings(second);
      }
      marks(first, 3, !what.endsWith("anybody"));
      brings(first);
      if (what.endsWith("anybody")) opens();
      if (what.startsWith("stepped back"))
        expect(book.panel.isRecused(second.person, mia, blocks)).toBe(true);
      else if (what === "replaced by one of the panel") {
        givesTo(first.person, second.person);
        marks(second, 2, true);
        brings(second);
      } else if (what === "replaced") {
        marks(second, 2, true);
        brings(second);
        givesTo(first.person, spares[0].person);
      } else {
        if (what.endsWith("half marked")) marks(second, 2, false);
        brings(second);
        opens();
      }
      expect(book.openings.isRevealed(mia, blocks)).toBe(true);
      for (const files of [
        [first, second],
        [second, first],
      ]) {
        const hub = await inTheEvening(files);
        for (const as of ["lock", "verdict"] as const)
          expect(counted(hub, as)).toEqual(counted(book, as));
        expect(hub.openings.isRevealed(mia, blocks)).toBe(true);
        expect(hub.marks.late(mia)).toEqual(book.marks.late(mia));
      }
    },
  );

  it("[S260] counts no lock in a hub in the evening that the chief had not heard of when the marks were open, in any order of the files", async () => {
    const { book, first, second, spares, marks, brings, givesTo, inTheEvening } = aRoad();
    const [spare] = spares;
    marks(second, 4, true);
    givesTo(second.person, spare.person);
    for (const one of [first, spare]) {
      marks(one, 2, true, [...book.entries()]);
      expect(brings(one)).toEqual([]);
    }
    expect(book.openings.isRevealed(mia, blocks)).toBe(true);
    // The lock that nobody has heard of: its judge has the places again.
    givesTo(spare.person, second.person);
    givesTo(first.person, second.person);
    const stood = counted(book, "verdict");
    expect(stood.length).toBe(2);
    for (const files of inEveryOrder([first, second, spare])) {
      const hub = await inTheEvening(files, second.person);
      for (const as of ["lock", "verdict"] as const) expect(counted(hub, as)).toEqual(stood);
    }
  });

  const who = fc.nat({ max: 3 });
  const steps = fc.array(
    fc.oneof(
      fc.record({
        what: fc.constant("marks" as const),
        who,
        locks: fc.boolean(),
        hears: fc.boolean(),
      }),
      fc.record({ what: fc.constant("brings" as const), who }),
      fc.record({ what: fc.constant("gives" as const), who, to: who }),
      fc.record({ what: fc.constant("opens" as const) }),
      fc.record({
        what: fc.constant("steps back" as const),
        who,
        section: fc.constantFrom(blocks, null),
        hears: fc.boolean(),
      }),
    ),
    { minLength: 4, maxLength: 14 },
  );
  it("[S258] says the same in the evening whatever was brought, given away and opened, in any order of the files", async () => {
    await fc.assert(
      fc.asyncProperty(steps, fc.nat(), async (day, order) => {
        const road = aRoad();
        const judges = [road.first, road.second, ...road.spares];
        const at = (one: number) => judges[one] as Judge;
        let level = 1;
        for (const step of day) {
          if (step.what === "marks") {
            const heard = step.hears ? [...road.book.entries()] : undefined;
            if (step.locks && road.hasLocked(at(step.who))) continue;
            road.marks(at(step.who), (level++ % 4) + 1, step.locks, heard);
          } else if (step.what === "steps back") {
            const heard = step.hears ? [...road.book.entries()] : undefined;
            road.stepsBack(at(step.who), step.section, heard);
          } else if (step.what === "brings") road.brings(at(step.who));
          else if (step.what === "gives" && step.who !== step.to)
            road.givesTo(at(step.who).person, at(step.to).person);
          else if (step.what === "opens" && !road.book.openings.isRevealed(mia, blocks))
            road.opens();
        }
        fc.pre(road.book.openings.isRevealed(mia, blocks));
        const orders = inEveryOrder(judges);
        const hub = await road.inTheEvening(orders[order % orders.length] as Judge[], "any");
        for (const as of ["lock", "verdict"] as const)
          expect(counted(hub, as)).toEqual(counted(road.book, as));
        // A verdict rests on what the chief's device had: all of it comes here.
        expect([...road.book.entries()].filter(({ id }) => !hub.entry(id))).toEqual([]);
      }),
      { numRuns: 80 },
    );
  });

  const atTwo = fc.array(
    fc.record({
      what: fc.constantFrom("marks", "locks", "brings", "brings", "gives", "opens"),
      who,
      to: who,
      isAway: fc.boolean(),
      hears: fc.boolean(),
    }),
    { minLength: 5, maxLength: 16 },
  );
  it("[S261] where two chiefs opened the same marks, keeps what counts as it was opened in the hub, whatever the second had heard", async () => {
    let opened = 0;
    await fc.assert(
      fc.asyncProperty(atTwo, fc.nat(), fc.nat({ max: 4 }), async (day, order, place) => {
        const road = aRoad();
        const judges = [road.first, road.second, ...road.spares];
        const one = (at: number) => judges[at] as Judge;
        let level = 1;
        for (const { what, who: at, to, isAway, hears } of day) {
          const chiefs = isAway ? road.away : road;
          if (what === "brings") chiefs.brings(one(at));
          else if (what === "gives") {
            if (at !== to) chiefs.givesTo(one(at).person, one(to).person);
          } else if (what === "opens") {
            if (!chiefs.book.openings.isRevealed(mia, blocks)) chiefs.opens();
          } else if (what === "marks" || !road.hasLocked(one(at))) {
            const heard = hears ? [...chiefs.book.entries()] : undefined;
            road.marks(one(at), (level++ % 4) + 1, what === "locks", heard);
          }
        }
        const orders = inEveryOrder(judges.map(({ person }) => person));
        const persons = (orders[order % orders.length] as PersonId[]).toSpliced(place, 0, other);
        const store = openMemoryScorebook();
        let hub = await road.into(store, [chief]);
        for (const person of persons) {
          const stood = hub.openings.isRevealed(mia, blocks) ? hub : undefined;
          hub = await road.into(store, [person], "any");
          if (!stood || person !== other) continue;
          opened++;
          expect(hub.openings.isRevealed(mia, blocks)).toBe(true);
          for (const as of ["lock", "verdict"] as const)
            expect(counted(hub, as)).toEqual(counted(stood, as));
        }
        // A second chief whose file came before the judges' opened on less: then it is asked what to do with what came late.
        const isOtherwise =
          String(counted(hub, "verdict")) !== String(counted(road.book, "verdict"));
        if (road.book.openings.isRevealed(mia, blocks) && isOtherwise)
          expect(hub.marks.late(mia)).not.toEqual([]);
      }),
      // One of some tens of thousands of days is counted otherwise without a question: docs/open-ends.md.
      { numRuns: 100, seed: 261 },
    );
    expect(opened).toBeGreaterThan(10);
  });
});

const inEveryOrder = <T>(list: readonly T[]): T[][] =>
  list.length === 0
    ? [[]]
    : list.flatMap((one, at) =>
        inEveryOrder(list.toSpliced(at, 1)).map((others) => [one, ...others]),
      );
