import { basename } from "node:path";
import type { CandidateId, ItemId } from "../belt-test/identity.ts";
import type { Rubric } from "../belt-test/rubric/rubric.ts";
import { RULES } from "../belt-test/scorebook/rules.ts";
import { judgeReports } from "../belt-test/verdict/judge-report.ts";
import { judgeWays } from "../belt-test/verdict/odd-effects.ts";
import type { CandidateCase, Outcome } from "../belt-test/verdict/outcome.ts";
import { reconcile } from "../belt-test/verdict/reconcile.ts";
import { smallestChange } from "../belt-test/verdict/smallest-change.ts";
import type { PersonId } from "../book/identity.ts";
import { excusedAndMarked, excusedOnPaper, leftOut, needsDate } from "./excused-on-paper.ts";
import { type MarkRow, readMarks, unfitExcuse, unfitMark } from "./read-marks.ts";
import { type Rostered, readRoster } from "./read-roster.ts";
import { DEFAULT_FOLDER, readRubrics, rubricsNearby } from "./read-rubrics.ts";
import { sayTerminal } from "./say-terminal.ts";
import type { TestResults } from "./test-results.ts";
import { type Complaint, Trouble } from "./trouble.ts";

interface Sources {
  file: string;
  rubrics: readonly string[];
  roster: string | undefined;
  /** ISO day of the test, which a minimum age is reckoned by. */
  date: string | undefined;
  folder: string;
}

/**
 * The results of a test marked on paper or in a spreadsheet. Everything in the file counts and all marks are open.
 * @throws Trouble with every line that belongs nowhere; nothing of such a file is used.
 */
export function resultsFromMarks({
  file,
  rubrics: files,
  roster: rosterFile,
  date,
  folder,
}: Sources): TestResults {
  const { marks: rows, excuses } = readMarks(file);
  const roster = rosterFile === undefined ? undefined : readRoster(rosterFile);
  const isGiven = files.length > 0;
  const rubrics = isGiven ? readRubrics(files) : rubricsNearby(folder);
  if (rubrics.length === 0)
    throw new Trouble([{ say: "no-rubric", with: { folder: DEFAULT_FOLDER } }]);

  const byCandidate = new Map<string, MarkRow[]>();
  for (const row of rows) {
    const its = byCandidate.get(row.mark.candidate);
    if (its) its.push(row);
    else byCandidate.set(row.mark.candidate, [row]);
  }
  const excusesOf = (candidate: string) => excuses.filter((row) => row.candidate === candidate);
  const firstLines = new Map<string, number>();
  const lines = [
    ...rows.map(({ line, mark }) => ({ line, candidate: mark.candidate })),
    ...excuses,
  ];
  for (const { line, candidate } of lines.sort((a, b) => a.line - b.line))
    if (!firstLines.has(candidate)) firstLines.set(candidate, line);
  const complaints: Complaint[] = [];
  if (roster)
    for (const [candidate, line] of firstLines)
      if (!roster.has(candidate))
        complaints.push({
          say: "candidate-not-in-roster",
          file,
          line,
          with: { candidate, roster: rosterFile ?? "" },
        });

  const chosen = new Map<string, Rubric>();
  for (const candidate of roster ? roster.keys() : firstLines.keys()) {
    const its = byCandidate.get(candidate) ?? [];
    const found = rubricFor(candidate, its, rubrics, roster?.get(candidate));
    if ("say" in found) {
      const line = found.isRoster ? roster?.get(candidate)?.line : its[0]?.line;
      complaints.push({
        say: found.say,
        with: found.with,
        file: found.isRoster ? (rosterFile ?? file) : file,
        ...(line === undefined ? {} : { line }),
      });
      continue;
    }
    chosen.set(candidate, found);
    for (const row of its) {
      const wrong = unfitMark(row, found);
      if (wrong) complaints.push({ ...wrong, file, line: row.line });
    }
    for (const row of excusesOf(candidate)) {
      const wrong = unfitExcuse(row, found);
      if (wrong) complaints.push({ ...wrong, file, line: row.line });
    }
  }
  const onPaper = [...chosen].map(([id, rubric]) => ({
    candidate: id as CandidateId,
    rubric,
    rows: byCandidate.get(id) ?? [],
    excuses: excusesOf(id),
    rostered: roster?.get(id),
    date,
  }));
  const undated = onPaper.find(needsDate);
  if (undated)
    complaints.push({
      say: "date-needed",
      with: { rubric: undated.rubric.id },
      file: rosterFile ?? file,
      line: undated.rostered?.line ?? 1,
    });
  for (const one of onPaper)
    for (const wrong of excusedAndMarked(one)) complaints.push({ ...wrong, file });
  if (complaints.length > 0) throw new Trouble(complaints);

  const cases = onPaper.map((one) => {
    const from = caseOnPaper(one.candidate, one.rubric, one.rows, excusedOnPaper(one));
    return { from, locked: from.marks };
  });
  const { severity, outcomes } = reconcile(cases);
  const marked = cases.flatMap(({ from: { candidate, rubric, marks } }) =>
    marks.length > 0 ? [{ candidate, rubric, marks }] : [],
  );
  const candidates = cases.map(({ from }, at) => {
    const { candidate, rubric } = from;
    const isMarked = from.marks.length > 0;
    const person = roster?.get(candidate);
    const its = outcomes[at] as Outcome;
    return {
      candidate,
      name: person?.name ?? "",
      number: person?.number,
      rubric,
      outcome: its,
      repeats: its.retestSections,
      change: isMarked ? smallestChange(from) : null,
      overalls: [],
      issued: isMarked ? null : ("absent" as const),
    };
  });
  return {
    grading: { id: null, title: basename(file), date: date ?? null },
    candidates: candidates.sort((a, b) => (a.number ?? Infinity) - (b.number ?? Infinity) || 0),
    marks: rows.map(({ mark }) => mark),
    locked: rows.map(({ mark }) => mark),
    severity,
    judges: judgeReports(marked, severity, noWave),
    ways: judgeWays(marked, noWave, () => false),
    judgeName: (judge: PersonId) => judge,
    remarks: [
      ...(isGiven
        ? []
        : [
            sayTerminal("rubrics-nearby", {
              folder: DEFAULT_FOLDER,
              rubrics: [...new Set([...chosen.values()].map(({ id }) => id))].join(", "),
            }),
          ]),
      ...onPaper.flatMap((one) => leftOut(one, excusedOnPaper(one))),
    ],
  };
}

/** Paper does not say who stood on the floor when. */
const noWave = () => 0;

function caseOnPaper(
  candidate: CandidateId,
  rubric: Rubric,
  rows: readonly MarkRow[],
  excused: readonly ItemId[],
): CandidateCase {
  return {
    candidate,
    rubric,
    rules: RULES,
    presence: rows.length === 0 ? "absent" : "checked-in",
    marks: rows.map(({ mark }) => mark),
    overalls: [],
    // Paper does not say who was to mark what: blanks are no question, too few judges are.
    judges: [],
    revealed: rubric.sections.map(({ id }) => id),
    excused,
    relations: [],
    conflicts: [],
    late: [],
    settlements: [],
  };
}

type Unfound = { say: Complaint["say"]; with: Record<string, string>; isRoster: boolean };

function rubricFor(
  candidate: string,
  rows: readonly MarkRow[],
  rubrics: readonly Rubric[],
  rostered: Rostered | undefined,
): Rubric | Unfound {
  const known = rubrics.map(({ id }) => id).join(", ");
  if (rostered && rostered.rubric !== "") {
    const named = rubrics.find(({ id }) => id === rostered.rubric);
    return (
      named ?? { say: "roster-rubric", with: { rubric: rostered.rubric, known }, isRoster: true }
    );
  }
  const [only] = rubrics;
  if (only && rubrics.length === 1) return only;
  const fitting = rubrics.filter((rubric) => rows.every((row) => unfitMark(row, rubric) === null));
  const [fits] = fitting;
  if (fits && fitting.length === 1) return fits;
  const isNone = fitting.length === 0;
  return {
    say: isNone ? "rubric-none-fits" : "rubric-several-fit",
    with: { candidate, known: isNone ? known : fitting.map(({ id }) => id).join(", ") },
    isRoster: rows.length === 0,
  };
}
