import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import type { Mark } from "../../src/belt-test/scorebook/cell.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import type { CandidateCase } from "../../src/belt-test/verdict/outcome.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import { panelReport } from "../../src/belt-test/verdict/panel-report.ts";
import { panelSeverity } from "../../src/belt-test/verdict/panel-severity.ts";
import { Reconciler } from "../../src/belt-test/verdict/reconciler.ts";
import { weighing } from "../../src/belt-test/verdict/weighing.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { chance } from "../../src/demo/chance.ts";
import { aCase } from "../builders/a-case.ts";
import { aMarkedDay } from "../builders/a-marked-day.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { itemsByFive } from "../builders/items-by-five.ts";
import { type Measured, median, took } from "./measure.ts";
import { type Columns, onePass } from "./one-pass.ts";

const ROUNDS = 5;
/** What somebody measured of a spreadsheet (load, recalculate, export) at the size L, on another machine: noted in the project's goals. */
const SPREADSHEET_MS = 10_000;

/**
 * Marks of so many candidates × items × 5 criteria × judges, 3 in 100 missing, as columns sorted by candidate and cell.
 * Candidates and errors spread as in docs/fairness.md: how often judges are two levels apart decides how much there is to ask.
 */
function columnsOf(candidates: number, items: number, judges: number): Columns {
  const { share, around } = chance(5);
  const ability = Array.from({ length: candidates }, () => 2.8 + around(0.6));
  const cells = items * 5;
  const most = candidates * cells * judges;
  const [candidate, cell, judge] = [0, 1, 2].map(() => new Int32Array(most)) as [
    Int32Array,
    Int32Array,
    Int32Array,
  ];
  const level = new Float64Array(most);
  let size = 0;
  for (let who = 0; who < candidates; who++)
    for (let place = 0; place < cells; place++)
      for (let by = 0; by < judges; by++) {
        if (share() < 0.03) continue;
        candidate[size] = who;
        cell[size] = place;
        judge[size] = by;
        level[size] = levelBy((ability[who] as number) + around(0.5));
        size++;
      }
  return {
    candidates,
    cells,
    judges,
    candidate: candidate.subarray(0, size),
    cell: cell.subarray(0, size),
    judge: judge.subarray(0, size),
    level: level.subarray(0, size),
  };
}

/** The product's whole reconciliation of the same columns: panel marks, questions, scores, verdicts, severities, agreement. */
function reconciled(columns: Columns, rubric: Rubric): number {
  const places = weighing(rubric).cells.map(({ place }) => place);
  const marks = Array.from({ length: columns.candidates }, (): Mark[] => []);
  for (let i = 0; i < columns.level.length; i++) {
    const who = columns.candidate[i] as number;
    marks[who]?.push({
      ...(places[columns.cell[i] as number] as (typeof places)[number]),
      candidate: `candidate-${who}` as CandidateId,
      judge: `judge-${columns.judge[i]}` as PersonId,
      level: columns.level[i] as number,
      how: "tapped",
    });
  }
  const given = marks.map((its, who) => ({
    candidate: `candidate-${who}` as CandidateId,
    rubric,
    marks: its,
  }));
  const base = aCase({ rubric, judges: columns.judges });
  const outcomes = given.map((one): CandidateCase => ({ ...base, ...one })).map(outcome);
  const report = panelReport(given, panelSeverity(given), () => 1);
  return outcomes.length + report.judges.length;
}

/** Reconciling everything from columns beside the plainest pass over them; one more mark in the largest test, and in one ten times as large. */
export function benchAggregation(): Measured[] {
  const sizes = [
    { name: "M", candidates: 100, items: 25, judges: 5 },
    { name: "L", candidates: 500, items: 30, judges: 7 },
  ].map(({ name, candidates, items, judges }) => {
    const columns = columnsOf(candidates, items, judges);
    const rubric = itemsByFive(items);
    const plain: number[] = [];
    const ours: number[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      plain.push(took(() => onePass(columns)));
      ours.push(took(() => reconciled(columns, rubric)));
    }
    return { name, marks: columns.level.length, plain: median(plain), ours: median(ours) };
  });
  const [medium, large] = sizes as [(typeof sizes)[number], (typeof sizes)[number]];
  const growth = Math.log(large.ours / medium.ours) / Math.log(large.marks / medium.marks);
  const step = oneMoreMark(60);
  const tenfold = oneMoreMark(600);
  return [
    ...sizes.map(({ name, marks, plain, ours }) => ({
      what: `${name}: whole reconciliation ÷ one plain pass`,
      value: ours / plain,
      unit: "×",
      goal: 2,
      how: `${marks.toLocaleString("en")} marks from columns: ${ours.toFixed(0)} against ${plain.toFixed(1)} ms`,
    })),
    {
      what: "its growth from M to L",
      value: growth,
      unit: "",
      goal: 1.1,
      how: "exponent in marks",
    },
    {
      what: "L: whole reconciliation ÷ a spreadsheet",
      value: large.ours / SPREADSHEET_MS,
      unit: "×",
      goal: 0.01,
      how: "no spreadsheet is started here: against 10 s, noted elsewhere",
    },
    {
      what: "one more mark: that candidate's outcome",
      value: step.one,
      unit: "ms",
      goal: 1,
      how: "60 candidates × 25 items × 5 criteria × 7 judges, median of 200",
    },
    {
      what: "the same in a test ten times as large",
      value: tenfold.one / step.one,
      unit: "×",
      goal: 1.3,
      how: `${tenfold.one.toFixed(2)} ms`,
    },
    {
      what: "a lock: severities, certainty and the panel's page",
      value: step.panel,
      unit: "ms",
      goal: 250,
      how: `60 candidates, median of ${ROUNDS}`,
    },
  ];
}

/** Milliseconds from one more mark to its candidate's outcome, and from a re-opened panel to everything that is said of it. */
function oneMoreMark(candidates: number): { one: number; panel: number } {
  const day = aTestDay({ judges: 7, candidates, rubric: itemsByFive(25) });
  const { around } = chance(6);
  const ability = new Map(day.candidates.map((who) => [who, 2.8 + around(0.6)]));
  const { entries } = aMarkedDay({
    day,
    levelOf: (who) => levelBy((ability.get(who) ?? 0) + around(0.5)),
  });
  const book = fold(entries);
  const reconciler = new Reconciler(book);
  reconciler.outcomes();
  const [judge] = day.judges;
  const place = weighing(day.rubric).cells[0]?.place;
  if (!judge || !place) throw new Error("oneMoreMark: nobody, or nothing, to mark");
  judge.pen.hear(book.lamport);
  const steps = Array.from({ length: 200 }, (_, at) => {
    const candidate = day.candidates[at % candidates] as CandidateId;
    const mark: AnyEntry = aMark(judge.pen, { ...place, candidate, level: 1 + (at % 4) });
    return took(() => {
      book.add(mark);
      reconciler.outcome(candidate);
    });
  });
  const panels = Array.from({ length: candidates > 100 ? 0 : ROUNDS }, () => {
    const fresh = new Reconciler(book);
    fresh.outcomes();
    return took(() => {
      fresh.severity();
      fresh.certainty();
      fresh.panel();
    });
  });
  return { one: median(steps), panel: panels.length > 0 ? median(panels) : Number.NaN };
}

const levelBy = (impression: number): number => Math.min(4, Math.max(1, Math.round(impression)));
