import type { ItemId, SectionId } from "../belt-test/identity.ts";
import { itemReport } from "../belt-test/items/item-report.ts";
import { itemOf, sectionOf } from "../belt-test/rubric/lookup.ts";
import type { Rubric } from "../belt-test/rubric/rubric.ts";
import type { JudgeReport } from "../belt-test/verdict/judge-report.ts";
import type { Question } from "../belt-test/verdict/outcome.ts";
import {
  type AskedQuestion,
  isIssuable,
  questionQueue,
} from "../belt-test/verdict/question-queue.ts";
import type { PersonId } from "../book/identity.ts";
import { clockTime } from "../words/dates.ts";
import questionsWords from "../words/en/questions.json" with { type: "json" };
import { effectWords, type Names, questionSentence } from "../words/question-sentence.ts";
import { sayIn } from "../words/say.ts";
import { sayTerminal } from "./say-terminal.ts";
import type { Candidate, TestResults } from "./test-results.ts";
import { fitted, textWidth, wrapped } from "./text-width.ts";

const QUESTIONS_SHOWN = 8;
const sayQuestion = sayIn(questionsWords);

/** The results as a chief examiner reads them in a terminal `width` columns wide. */
export function resultsTable(results: TestResults, width: number): string {
  const { grading, candidates, remarks } = results;
  const rubrics = [...new Set(candidates.map(({ rubric }) => rubric))];
  const nameWidth = Math.min(
    Math.max(...[...candidates.map(nameOf), sayTerminal("head-candidate")].map(textWidth)),
    width < 90 ? 18 : 26,
  );
  const title = grading.date === null ? grading.title : `${grading.title} · ${grading.date}`;
  return [
    title,
    "═".repeat(Math.min(textWidth(title), width)),
    ...wrapped(tally(candidates), width, ""),
    ...remarks.flatMap((remark) => wrapped(remark, width, "")),
    ...rubrics.flatMap((rubric) => [
      "",
      ...ofRubric(
        rubric,
        candidates.filter((one) => one.rubric === rubric),
        width,
        nameWidth,
      ),
    ]),
    "",
    ...wrapped(sayTerminal("table-legend"), width, "   "),
    ...questions(results, width),
    ...judgesLines(results, width),
    ...missedLines(results, width),
    ...letInLines(results, width),
  ].join("\n");
}

function tally(candidates: readonly Candidate[]): string {
  const count = (word: string) => candidates.filter((one) => resultOf(one) === word).length;
  return sayTerminal("tally", {
    candidates: candidates.length,
    pass: count("pass"),
    retest: count("retest"),
    incomplete: count("incomplete"),
    others: count("absent") + count("withdrawn"),
  });
}

/** What stands: issued by people, else computed. */
const resultOf = ({ issued, outcome }: Candidate) => issued ?? outcome.computed;

function ofRubric(
  rubric: Rubric,
  candidates: readonly Candidate[],
  width: number,
  nameWidth: number,
): string[] {
  const rest = width - 5 - nameWidth - 2 - 14 - 6 - 2 - 5;
  const row = (
    number: string,
    name: string,
    result: string,
    total: string,
    why: string,
    asks: string,
  ) =>
    `${fitted(number, 4, "right")} ${fitted(name, nameWidth)}  ${fitted(result, 14)}${fitted(total, 6, "right")}  ${fitted(why, rest)}${fitted(asks, 5, "right")}`.trimEnd();
  // What does not fit goes on under its own column: the last word is often the one that matters.
  const under = " ".repeat(5 + nameWidth + 2 + 14 + 6 + 2);
  const heading = sayTerminal("rubric-heading", {
    title: rubric.title,
    mark: rubric.pass.mark,
    combine: sayTerminal(`combine-${rubric.panel.combine}`),
  });
  return [
    ...wrapped(heading, width, "  "),
    "─".repeat(width),
    row(
      sayTerminal("head-number"),
      sayTerminal("head-candidate"),
      sayTerminal("head-result"),
      sayTerminal("head-total"),
      sayTerminal("head-why"),
      sayTerminal("head-asks"),
    ),
    ...candidates.flatMap((one) => {
      const { outcome, issued, doubt, number } = one;
      const open = outcome.questions.filter(({ isSettled }) => !isSettled).length;
      const [why = "", ...more] = wrapped(surelyOf(one), rest, "");
      const first = row(
        number === undefined ? "" : String(number),
        nameOf(one),
        sayTerminal("result", {
          result: resultOf(one),
          state: doubt
            ? "doubted"
            : issued === "pass" || issued === "retest"
              ? "issued"
              : issued === null && !isIssuable(outcome) && outcome.computed !== "incomplete"
                ? "open"
                : "computed",
        }),
        outcome.scoreRounded === null || issued === "absent" ? "–" : figure(outcome.scoreRounded),
        why,
        open === 0 ? "·" : isIssuedOver(one) ? `${open} ?` : String(open),
      );
      return [first, ...more.map((line) => under + line)];
    }),
  ];
}

const isVerdict = ({ issued }: Candidate): boolean => issued === "pass" || issued === "retest";
const couldTurn = ({ effect, isSettled }: Question): boolean =>
  effect === "could-change" && !isSettled;
const isIssuedOver = (one: Candidate): boolean =>
  isVerdict(one) && one.outcome.questions.some(couldTurn);

const nameOf = ({ name, candidate }: Candidate): string => (name === "" ? candidate : name);

/** One figure after the point, as a chief examiner writes it. */
const figure = (percent: number): string => percent.toFixed(1);

/** What decided a result, and how sure it is where the marks can say. */
function surelyOf(one: Candidate): string {
  const { certainty, computed } = one.outcome;
  const decided = whyOf(one);
  const isOtherwise = isVerdict(one) && one.issued !== computed;
  const why = isOtherwise
    ? [
        ...(one.issued === "retest" && one.repeats.length > 0 ? [repeatOf(one)] : []),
        sayTerminal("why-otherwise", { result: computed, why: decided || "none" }),
      ].join("; ")
    : decided;
  if (one.doubt) return [sayTerminal(`doubt-${one.doubt}`), why].filter(Boolean).join(" ");
  // How sure a result is says nothing of another that was issued.
  return certainty && why !== "" && !isOtherwise
    ? sayTerminal("why-sure", { why, word: certainty.word })
    : why;
}

function titled({ outcome, rubric }: Candidate, id: SectionId): string {
  const score = outcome.sections.find((section) => section.id === id)?.score;
  const title = sectionOf(rubric, id)?.title ?? id;
  return score ? `${title} ${figure(score.percent)}` : title;
}
const repeatOf = (one: Candidate): string =>
  sayTerminal("why-retest", { sections: one.repeats.map((id) => titled(one, id)).join(", ") });

/** What decided a result, in the fewest words. */
function whyOf(one: Candidate): string {
  const { outcome, rubric, issued } = one;
  if (issued === "absent" || issued === "withdrawn") return "";
  switch (outcome.computed) {
    case "pass": {
      const [lowest] = outcome.sections
        .filter(({ score }) => score !== null)
        .sort((a, b) => (a.score?.percent ?? 0) - (b.score?.percent ?? 0));
      return lowest ? sayTerminal("why-pass", { section: titled(one, lowest.id) }) : "";
    }
    case "retest":
      return repeatOf(one);
    case "incomplete":
      return sayTerminal("why-incomplete", {
        sections: outcome.sections
          .filter(({ unmet, isExcused }) => !isExcused && unmet.some(({ why }) => why === "unseen"))
          .map(({ id }) => sectionOf(rubric, id)?.title ?? id)
          .join(", "),
      });
  }
}

function questions({ candidates, judgeName }: TestResults, width: number): string[] {
  const open = questionQueue(
    candidates.filter(({ issued }) => issued === null).map(({ outcome }) => outcome),
  );
  const known = new Map(candidates.map((one) => [one.candidate, one]));
  const strong = open.filter(({ question }) => question.effect === "could-change");
  const over = questionQueue(candidates.filter(isIssuedOver).map(({ outcome }) => outcome)).filter(
    ({ question }) => couldTurn(question),
  );
  const idle = open.length - strong.length;
  const lines = (asked: readonly AskedQuestion[]) => [
    "─".repeat(width),
    ...asked.slice(0, QUESTIONS_SHOWN).flatMap(({ candidate, question }) => {
      const one = known.get(candidate);
      if (!one) return [];
      const line = sayTerminal("question", {
        who: one.number === undefined ? nameOf(one) : `${one.number} ${nameOf(one)}`,
        sentence: questionSentence(question, namesIn(one.rubric, judgeName), sayQuestion),
        effect: effectWords(question, sayQuestion),
      });
      return wrapped(line, width, "   ");
    }),
    ...(asked.length > QUESTIONS_SHOWN
      ? [sayTerminal("questions-more", { count: asked.length - QUESTIONS_SHOWN })]
      : []),
  ];
  return [
    "",
    ...(strong.length > 0
      ? [sayTerminal("questions-heading"), ...lines(strong)]
      : [sayTerminal(over.length > 0 ? "questions-none-else" : "questions-none")]),
    ...(idle > 0 ? [sayTerminal("questions-idle", { count: idle })] : []),
    ...(over.length > 0 ? ["", sayTerminal("questions-over"), ...lines(over)] : []),
  ];
}

function namesIn(rubric: Rubric, judgeName: TestResults["judgeName"]): Names {
  const section = (id: string) => sectionOf(rubric, id as SectionId);
  return {
    section: (id) => section(id)?.title ?? id,
    item: (at, id) => {
      const its = section(at);
      return (its && itemOf(its, id as ItemId)?.title) ?? id;
    },
    criterion: (id) => rubric.criteria.find((one) => one.id === id)?.title.toLowerCase() ?? id,
    judge: (id) => judgeName(id as Parameters<typeof judgeName>[0]),
  };
}

/** Who came in on a further tablet; nothing where nobody did. */
function letInLines({ letIns = [], judgeName }: TestResults, width: number): string[] {
  if (letIns.length === 0) return [];
  return [
    "",
    sayTerminal("let-ins-heading"),
    "─".repeat(width),
    ...letIns.flatMap(({ person, decidedBy, at, agreed }) =>
      wrapped(
        sayTerminal("let-in", {
          person: judgeName(person),
          time: clockTime(at, sayTerminal.locale),
          by: judgeName(decidedBy),
          agreed: String(agreed),
        }),
        width,
        "   ",
      ),
    ),
  ];
}

/** What most of a class missed, rank by rank; nothing where nothing was. */
function missedLines({ candidates }: TestResults, width: number): string[] {
  const reports = itemReport(candidates.filter(({ outcome }) => outcome.panelMarks.length > 0));
  const lines = reports.flatMap(({ rubric: id, missed, candidates: count }) => {
    const rubric = candidates.find((one) => one.rubric.id === id)?.rubric;
    if (!rubric || missed.length === 0) return [];
    const names = missed.map(({ section, item, missed: share, candidates: of }) =>
      sayTerminal("missed-item", {
        item: titleOf(rubric, section, item),
        below: Math.round(share * of),
        of,
      }),
    );
    return wrapped(
      sayTerminal("missed", { rubric: rubric.title, count, items: names.join(", ") }),
      width,
      "   ",
    );
  });
  return lines.length === 0 ? [] : ["", sayTerminal("missed-heading"), "─".repeat(width), ...lines];
}

function titleOf(rubric: Rubric, at: SectionId, id: ItemId | null): string {
  const section = sectionOf(rubric, at);
  if (!section) return at;
  return id === null
    ? sayTerminal("missed-once", { section: section.title })
    : (itemOf(section, id)?.title ?? id);
}

/** One of a list of sentences, under its heading. */
const indented = (sentence: string, width: number): string[] =>
  wrapped(sentence, width - 3, "  ").map((line) => `   ${line}`);

/** Whether a judge's difference is chance, and whether judges commonly differ so much; said only of whom the panel's page would say it. */
function beyond(report: JudgeReport | undefined) {
  const its = report?.severity;
  const isTold = report?.standing === "severe" || report?.standing === "lenient";
  return {
    against: its?.against ?? "others",
    beyond: !isTold || !its ? "nothing" : its.isBeyondCommon ? "common" : its.against,
  };
}

/** How strict each judge was, and what adjusting for it can do. */
function judgesLines(
  { severity, judges: reports, judgeName, candidates }: TestResults,
  width: number,
): string[] {
  const { found, judges, outlook, links } = severity;
  if (judges.length === 0) return [];
  const known = new Map(candidates.map((one) => [one.candidate, one]));
  const changed = candidates.filter(({ outcome }) => outcome.adjusted).length;
  return [
    "",
    sayTerminal("judges-heading"),
    "─".repeat(width),
    ...(found.kind === "estimated"
      ? found.judges.flatMap(({ severity: its, se }, place) =>
          indented(
            sayTerminal("judge-severity", {
              who: judgeName(judges[place] as PersonId),
              size: Math.abs(its).toFixed(2),
              side: its >= 0 ? "below" : "above",
              se: se.toFixed(2),
              ...beyond(reports[place]),
            }),
            width,
          ),
        )
      : []),
    ...wrapped(
      sayTerminal("outlook", { outlook: outlook.replaceAll("-", "_"), changed }),
      width,
      "   ",
    ),
    ...links.flatMap(({ judge, candidate }) => {
      const one = known.get(candidate);
      return indented(
        sayTerminal("link", { judge: judgeName(judge), who: one ? nameOf(one) : candidate }),
        width,
      );
    }),
  ];
}
