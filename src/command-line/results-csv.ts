import Papa from "papaparse";
import { harmless } from "../book/harmless-text.ts";
import type { TestResults } from "./test-results.ts";

/**
 * What a spreadsheet may take for a formula: behind spaces too, in wide letters, and of several lines.
 * OWASP, CSV Injection: https://owasp.org/www-community/attacks/CSV_Injection
 */
const FORMULA = /^\s*[=+\-@\t\r\n＝＋－＠]/;

/** One line a candidate, for a spreadsheet. A cell that a spreadsheet would run as a formula is made harmless by an apostrophe. */
export function resultsCsv({ candidates }: TestResults): string {
  const sections = [
    ...new Set(candidates.flatMap(({ rubric }) => rubric.sections.map(({ id }) => id))),
  ];
  const header = [
    "candidate",
    "number",
    "name",
    "rubric",
    "computed",
    "issued",
    "score",
    "score-rounded",
    "score-adjusted",
    "retest-sections",
    "open-questions",
    ...sections,
  ];
  const rows = candidates.map(({ candidate, number, name, issued, repeats, doubt, outcome }) => [
    candidate,
    number ?? "",
    // Where a spreadsheet parts cells at semicolons, what follows one would be a cell of its own.
    harmless(name).replaceAll(";", ","),
    outcome.rubric,
    outcome.computed,
    // A register takes this column as it is.
    doubt ? "" : (issued ?? ""),
    figure(outcome.score?.percent),
    outcome.scoreRounded ?? "",
    figure(outcome.adjusted?.score),
    repeats.join(" "),
    outcome.questions.filter(({ isSettled }) => !isSettled).length,
    ...sections.map((id) =>
      figure(outcome.sections.find((section) => section.id === id)?.score?.percent),
    ),
  ]);
  return `${Papa.unparse([header, ...rows], { escapeFormulae: FORMULA, newline: "\r\n" })}\r\n`;
}

/** Two figures after the point: what anybody reads in a spreadsheet. results.json has them whole. */
const figure = (percent: number | undefined): number | "" =>
  percent === undefined ? "" : Math.round(percent * 100) / 100;
