import type { CandidateId } from "../../src/belt-test/identity.ts";
import { criteriaAt, markedSides } from "../../src/belt-test/rubric/lookup.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { Reconciler } from "../../src/belt-test/verdict/reconciler.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { askedPanel } from "../../src/lab/certain.ts";
import { dayOf } from "../../src/lab/day.ts";
import { complete5 } from "../../src/lab/designs.ts";
import { scored } from "../../src/lab/scored.ts";
import { BAR } from "../../src/lab/truths.ts";
import { judgedChances } from "../../src/ratings/certainty/judged-chances.ts";
import { adjustedScore } from "../../src/ratings/severity/adjusted-score.ts";
import { composites } from "../../src/ratings/severity/composites.ts";
import { severities } from "../../src/ratings/severity/severities.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { itemsByFive } from "../builders/items-by-five.ts";
import { type Measured, median, took } from "./measure.ts";

const CANDIDATES = 60;
const ITEMS = 25;
const JUDGES = 7;
const ROUNDS = 7;

/** A test of 60 candidates × 25 items × 5 criteria × 7 judges, every mark its own entry. */
function theLargestTest(): AnyEntry[] {
  const rubric = itemsByFive(ITEMS);
  const { plan, judges, candidates } = aTestDay({ judges: JUDGES, candidates: CANDIDATES, rubric });
  const [section] = rubric.sections;
  if (!section) throw new Error("theLargestTest: no section");
  const marks = judges.flatMap(({ pen }, judge) =>
    candidates.flatMap((candidate, at) =>
      section.items.flatMap((item, place) =>
        markedSides(item).flatMap((side) =>
          criteriaAt(section, item).map((criterion, row) =>
            pen.write("mark", {
              section: section.id,
              item: item.id,
              side,
              cells: [
                {
                  candidate,
                  criterion,
                  level: ((judge * 7 + at * 3 + place + row) % 4) + 1,
                  how: "tapped",
                },
              ],
            }),
          ),
        ),
      ),
    ),
  );
  const locks = judges.map(({ pen, person }) =>
    pen.write("locked", {
      section: section.id,
      candidates,
      basis: { [`${person}-tablet`]: 1_000_000 },
    }),
  );
  return [...plan, ...marks, ...locks];
}

/** How sure sixty results are, and what each would be had all seven judges been equally severe; from columns, every judge before every candidate. */
function sureAndAdjusted(): number[] {
  const everybody = Array.from({ length: JUDGES }, (_, judge) => judge);
  const day = dayOf({ ...complete5, judges: JUDGES, watching: () => everybody }, CANDIDATES, 1);
  const asked = askedPanel(day, BAR);
  const { sections, parts } = scored(day);
  const work = () => {
    const found = severities(composites(asked.marks), { level: 25 });
    if (found.kind === "estimated")
      for (const [at, score] of sections.entries())
        adjustedScore(score, parts[at] ?? [], found, "panel");
    return judgedChances(asked);
  };
  work();
  return Array.from({ length: 3 * ROUNDS }, () => took(work));
}

/** Folding the largest test, and the chief's state after one more mark in it. */
export function benchCore(): Measured[] {
  const entries = theLargestTest();
  const cells = CANDIDATES * ITEMS * 5 * JUDGES;
  fold(entries);
  const folds = Array.from({ length: ROUNDS }, () => took(() => fold(entries)));

  const book = fold(entries);
  const reconciler = new Reconciler(book);
  const whole = took(() => reconciler.outcomes());
  const pen = { n: 2_000_000 };
  const template = entries.find(({ kind }) => kind === "mark") as AnyEntry;
  const steps = Array.from({ length: 200 }, (_, index) => {
    const candidate = `candidate-${(index % CANDIDATES) + 1}` as CandidateId;
    const body = template.body as { cells: { candidate: CandidateId; level: unknown }[] };
    const entry = {
      ...template,
      id: `00000000-0000-7000-9000-${(index + 1).toString(16).padStart(12, "0")}`,
      by: "judge-1" as PersonId,
      n: pen.n++,
      lamport: book.lamport + 1,
      body: { ...body, cells: [{ ...body.cells[0], candidate, level: (index % 4) + 1 }] },
    } as unknown as AnyEntry;
    return took(() => {
      book.add(entry);
      reconciler.outcomes();
    });
  });
  const sure = sureAndAdjusted();
  return [
    {
      what: `certainty and adjusted scores, ${CANDIDATES} candidates × ${JUDGES} judges`,
      value: median(sure),
      unit: "ms",
      goal: 20,
      how: `median of ${sure.length}`,
    },
    {
      what: `fold of ${cells.toLocaleString("en")} marks`,
      value: median(folds),
      unit: "ms",
      goal: 150,
      how: `median of ${ROUNDS}`,
    },
    {
      what: "one more mark: every outcome of the test asked for again",
      value: median(steps),
      unit: "ms",
      goal: 5,
      how: `median of ${steps.length}, ${CANDIDATES} candidates`,
    },
    {
      what: "the whole test reconciled afresh",
      value: whole,
      unit: "ms",
      how: "once, for the record",
    },
  ];
}
