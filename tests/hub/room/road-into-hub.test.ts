import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { mergeable } from "../../../src/belt-test/intake/persons-file.ts";
import type { EntryKind } from "../../../src/belt-test/kinds/all-kinds.ts";
import { basisFor } from "../../../src/belt-test/scorebook/counts.ts";
import type { AnyEntry, EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import { basisOfPerson } from "../../../src/belt-test/scorebook/out-of-turn.ts";
import { readScorebookFile } from "../../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../../src/belt-test/scorebook/scorebook-file.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { takePersonsFile } from "../../../src/hub/room/persons-file.ts";
import { openMemoryScorebook } from "../../../src/hub/store/memory-scorebook.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const chief = "chief" as PersonId;
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
  const seats = [chief, ...spares.map(({ person }) => person)].map((person) =>
    day.chief.write("seated", { person, roles: [person === chief ? "chief" : "judge"] }),
  );
  const plan = [...day.plan, ...seats] as AnyEntry[];
  const book = fold(plan);
  const own = new Map<PersonId, AnyEntry[]>([[chief, [...seats, ...day.plan] as AnyEntry[]]]);
  const said = (person: PersonId, lines: readonly AnyEntry[]) => {
    const all = [...(own.get(person) ?? []), ...lines];
    own.set(person, all);
    return all;
  };
  const marks = ({ person, pen }: Judge, level: number, locks: boolean) => {
    pen.hear(fold(plan).lamport);
    const known = [...plan, ...(own.get(person) ?? [])];
    const mark = aMark(pen, { level }) as AnyEntry;
    const lock = aLock({ person, pen }, blocks, [mia], [...known, mark]) as AnyEntry[];
    said(person, locks ? [mark, ...lock] : [mark]);
  };
  const brings = ({ person }: Judge) => {
    const file = { grading: aGradingId, entries: [...plan, ...(own.get(person) ?? [])] };
    const sides = { refsOf: () => [], hasSide: () => true };
    const { taken, refused } = mergeable(book, file, person, sides);
    for (const entry of taken) book.add(entry);
    return refused.map(({ code }) => code);
  };
  const chiefSays = <Kind extends EntryKind>(kind: Kind, body: EntryBody<Kind>) => {
    day.chief.hear(book.lamport);
    const line = day.chief.write(kind, body) as AnyEntry;
    book.add(line);
    said(chief, [line]);
  };
  const givesTo = (judge: PersonId, by: PersonId) =>
    chiefSays("judge-replaced", { judge, by, basis: basisOfPerson(book.entries(), judge) });
  const opens = () => {
    const without = book.panel
      .judgesOf(mia, blocks)
      .filter((judge) => !book.openings.hasLocked(judge, mia, blocks));
    const bases = without.map((judge) => basisOfPerson(book.entries(), judge));
    chiefSays("revealed", {
      section: blocks,
      candidates: [mia],
      reason: ref,
      without,
      basis: Object.assign({}, ...bases),
      after: basisFor(book.basis, [{ candidate: mia, section: blocks }]),
    });
  };
  /** In the evening all files go into a hub that knows nothing yet, the chief's first. */
  const inTheEvening = async (...judges: Judge[]) => {
    const store = openMemoryScorebook();
    for (const person of [chief, ...judges.map((one) => one.person)]) {
      const lines =
        person === chief ? (own.get(chief) ?? []) : [...plan, ...(own.get(person) ?? [])];
      const read = readScorebookFile(scorebookFile(aGradingId, lines, [record], person));
      if (!read.ok) throw new Error("the file cannot be read");
      const took = await takePersonsFile(store, read.file as never, []);
      expect(took?.refused.filter(({ by }) => by === person)).toEqual([]);
    }
    return fold((await store.read(aGradingId, 0)).map(({ entry }) => entry));
  };
  return { book, first, second, spares, marks, brings, givesTo, opens, inTheEvening };
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
  ])(
    "[S258] goes into a hub in the evening as it was, the chief's file first: %s",
    async (what) => {
      const { book, first, second, spares, marks, brings, givesTo, opens, inTheEvening } = aRoad();
      marks(first, 3, true);
      brings(first);
      if (what === "replaced by one of the panel") {
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
        const hub = await inTheEvening(...files);
        for (const as of ["lock", "verdict"] as const)
          expect(counted(hub, as)).toEqual(counted(book, as));
        expect(hub.openings.isRevealed(mia, blocks)).toBe(true);
        expect(hub.marks.late(mia)).toEqual([]);
      }
    },
  );
});
