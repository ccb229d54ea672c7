import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type {
  CandidateId,
  CriterionId,
  ItemId,
  RubricId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import type { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { fold, type Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { marksAtLanes } from "../../../src/belt-test/scorebook/stray-lanes.ts";
import { lanesOnceSwapped } from "../../../src/belt-test/scorebook/swapped-lanes.ts";
import { lastUndoable, undoOf, writtenTogether } from "../../../src/belt-test/scorebook/undo.ts";
import type { Step } from "../../../src/belt-test/script/script.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";

const judge = "judge-1" as PersonId;
const pair = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];
const row = { section: "blocks" as SectionId, item: "low-block" as ItemId, side: null };
const criteria = ["chamber", "extension", "target"] as CriterionId[];

/** Two children, the second on a rubric that asks less there and may know fewer levels; marks of one judge. */
function marked({ asked, levels, given }: Given) {
  const asking = (rubric: Rubric, its: CriterionId[]): Rubric => ({
    ...rubric,
    sections: rubric.sections.map((section) => ({
      ...section,
      items: section.items.map((item) =>
        item.id === row.item ? { ...item, criteria: its } : item,
      ),
    })),
  });
  const first = asking(aRubric(), criteria);
  const day = aTestDay({ judges: 1, candidates: 2, rubric: first });
  const { chief } = day;
  const rubric = {
    ...asking(first, asked),
    id: "other" as RubricId,
    scale: { ...first.scale, levels: first.scale.levels.slice(0, levels) },
  };
  const pen = day.judges[0]?.pen;
  if (!pen) throw new Error("no judge");
  const entries: AnyEntry[] = [
    ...day.plan,
    chief.write("frozen", { rubric }),
    chief.write("entered", { candidate: pair[1], number: 2, rubric: rubric.id }),
  ];
  pen.hear(chief.lamport);
  for (const [at, [criterion, level]] of given.entries())
    for (const candidate of [pair[at % 2] as CandidateId]) {
      const isAsked = candidate === pair[0] || (asked.includes(criterion) && level <= levels);
      if (isAsked) entries.push(aMark(pen, { ...row, candidate, criterion, level }));
    }
  return { pen, chief, entries, book: fold(entries) };
}
interface Given {
  asked: CriterionId[];
  levels: number;
  given: [CriterionId, number][];
}
const days: fc.Arbitrary<Given> = fc.record({
  asked: fc.subarray(criteria, { minLength: 1 }),
  levels: fc.integer({ min: 3, max: 4 }),
  given: fc.array(fc.tuple(fc.constantFrom(...criteria), fc.integer({ min: 1, max: 4 })), {
    maxLength: 6,
  }),
});
const standing = (book: Scorebook) =>
  pair.map((candidate) =>
    criteria.map((criterion) => book.marks.cell(judge, candidate, { ...row, criterion })?.level),
  );

/** What goes along when this judge says that the two have changed places. */
const along = (book: Scorebook) => {
  const step = waveScript(book, 1).find(
    (one) => one.item === row.item && one.section === row.section && one.markedSide === row.side,
  ) as Step;
  return marksAtLanes(book, judge, 1, step, lanesOnceSwapped(step.lanes ?? [], pair));
};

/** As a judge's hand writes it: lanes and marks in one act. */
function swap({ pen, entries, book }: ReturnType<typeof marked>): AnyEntry[] {
  const batch = "act";
  return [
    ...entries,
    pen.write("lanes-swapped", { wave: 1, candidates: pair, batch }),
    ...along(book).bodies.map((body) => pen.write("mark", { ...body, batch })),
  ];
}
const undone = (pen: ReturnType<typeof marked>["pen"], entries: AnyEntry[]): AnyEntry[] => {
  const book = fold(entries);
  const last = lastUndoable(book, judge);
  const undos = last ? writtenTogether(book, last).map((one) => undoOf(book, one)) : [];
  return [
    ...entries,
    ...undos.map(({ kind, body, replaces }) => pen.write(kind, body, replaces) as AnyEntry),
  ];
};

describe("marks of two children who stood in each other's place", () => {
  it("[S172] lose nothing: every mark is with the other child, or where it was", () => {
    fc.assert(
      fc.property(days, (given) => {
        const day = marked(given);
        const before = standing(day.book);
        const { stay } = along(day.book);
        const after = standing(fold(swap(day)));
        for (const [at, criterion] of criteria.entries()) {
          const [a, b] = before.map((levels) => levels[at]);
          const isMoved = !stay.includes(criterion);
          expect(after.map((levels) => levels[at])).toEqual(isMoved ? [b, a] : [a, b]);
          // What moved is asked of whoever has it now.
          if (isMoved && a !== undefined) {
            expect(given.asked).toContain(criterion);
            expect(a).toBeLessThanOrEqual(given.levels);
          }
        }
      }),
    );
  });

  it("[S172] all stay where one of the two is locked", () => {
    const day = marked({ asked: criteria, levels: 4, given: [["target" as CriterionId, 2]] });
    const lock = day.pen.write("locked", {
      ...{ section: row.section, candidates: [pair[1]], basis: {} },
    });
    const found = along(fold([...day.entries, lock]));
    expect(found).toMatchObject({ bodies: [], isLocked: true });
  });

  it("[S173] are back with one Undo, and so are the lanes", () => {
    fc.assert(
      fc.property(days, (given) => {
        const day = marked(given);
        const swapped = swap(day);
        expect(fold(swapped).plan.lanes(1)).toEqual([pair[1], pair[0]]);
        const back = undone(day.pen, swapped);
        expect(fold(back).plan.lanes(1)).toEqual(pair);
        expect(standing(fold(back))).toEqual(standing(day.book));
        // Undo has gone on to what was before.
        const next = lastUndoable(fold(back), judge);
        expect(next?.kind).not.toBe("lanes-swapped");
      }),
    );
  });

  it("[S173] stay as they are where the lanes were set anew since, or one of the two is locked", () => {
    const day = marked({ asked: criteria, levels: 4, given: [["target" as CriterionId, 2]] });
    const swapped = swap(day);
    day.chief.hear(fold(swapped).lamport);
    const anew = day.chief.write("lined-up", { wave: 1, lanes: [pair[1], pair[0]] });
    const lock = day.pen.write("locked", {
      ...{ section: row.section, candidates: [pair[1]], basis: {} },
    });
    for (const since of [anew, lock]) {
      const last = lastUndoable(fold([...swapped, since]), judge);
      expect((last?.body as { batch?: string } | undefined)?.batch).toBeUndefined();
    }
  });
});

describe("a swap that somebody else says is taken back", () => {
  // A stranger's judge named it as undone: the Undo of whoever swapped brought the marks back alone, on the wrong children.
  it("[S269] goes back as before with an Undo of whoever swapped: lanes and marks", () => {
    const { book, pen, chief } = marked({
      asked: criteria,
      levels: 4,
      given: [[criteria[0] as CriterionId, 3]],
    });
    const before = standing(book);
    const lanes = book.plan.lanes(1);
    const batch = "act";
    const add = (entry: unknown) => book.add(entry as AnyEntry);
    const bodies = along(book)?.bodies ?? [];
    const swap = pen.write("lanes-swapped", { wave: 1, candidates: pair, batch });
    add(swap);
    for (const body of bodies) add(pen.write("mark", { ...body, batch }));
    // As a liar's device would, twice, so that the lanes stand as they did.
    chief.hear(book.lamport);
    add(chief.write("lanes-swapped", { wave: 1, candidates: pair, undoes: swap.id }));
    add(chief.write("lanes-swapped", { wave: 1, candidates: pair }));
    pen.hear(book.lamport);
    const last = lastUndoable(book, judge);
    for (const one of last ? writtenTogether(book, last) : []) {
      const { kind, body, replaces } = undoOf(book, one);
      add(pen.write(kind, body, replaces));
    }
    expect([book.plan.lanes(1), standing(book)]).toEqual([lanes, before]);
  });

  it("[S269] goes back whole or not at all: not where a mark that went along is asked of nobody any more", () => {
    const { book, pen, chief } = marked({
      asked: criteria,
      levels: 4,
      given: [[criteria[0] as CriterionId, 3]],
    });
    const add = (entry: unknown) => book.add(entry as AnyEntry);
    const bodies = along(book)?.bodies ?? [];
    add(pen.write("lanes-swapped", { wave: 1, candidates: pair, batch: "act" }));
    for (const body of bodies) add(pen.write("mark", { ...body, batch: "act" }));
    chief.hear(book.lamport);
    const [first] = bodies;
    const gone = { candidate: pair[0], section: first?.section, item: first?.item };
    add(chief.write("excused", gone as never));
    expect(lastUndoable(book, judge)).toBeUndefined();
  });
});
