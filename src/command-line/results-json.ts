import { itemReport } from "../belt-test/items/item-report.ts";
import { placeKey } from "../belt-test/scorebook/cell.ts";
import type { LetIn } from "../belt-test/scorebook/let-ins.ts";
import type { JudgeReport } from "../belt-test/verdict/judge-report.ts";
import type { JudgeWays } from "../belt-test/verdict/odd-effects.ts";
import type { Outcome, Question } from "../belt-test/verdict/outcome.ts";
import type { Certainty } from "../belt-test/verdict/panel-certainty.ts";
import type { PersonId } from "../book/identity.ts";
import { agreementFigures } from "./agreement-figures.ts";
import { inPlace, panelOf } from "./read-panel.ts";
import type { Candidate, TestResults } from "./test-results.ts";

/** Fixed, so that the intervals of one file are the same at every run. */
const SEED = 1;

/** The results as data: numbers in percent, what is not computed yet null with the reason beside it. */
export function resultsJson(results: TestResults) {
  const { grading, candidates, severity, letIns = [] } = results;
  const rubrics = new Map(
    candidates.map(({ rubric: { id, version } }) => [`${id}/${version}`, { id, version }]),
  );
  return {
    grading,
    rubrics: [...rubrics.values()],
    candidates: candidates.map(candidateJson),
    judges: judgesJson(results),
    /** What adjusting can do for this panel, and the fewest further pairs of judge and candidate that would make it possible. */
    adjustment: {
      outlook: severity.outlook,
      hasStandard: severity.found.kind === "estimated" && severity.found.hasStandard,
      links: severity.links,
    },
    agreement: agreementJson(results),
    /** By rubric: what was hard, what the class missed, and where judges' overall judgements put floors and pass mark. */
    items: itemReport(candidates.filter(({ outcome }) => outcome.panelMarks.length > 0)),
    ...(letIns.length > 0 ? { kept: { letIns: letIns.map(letInJson) } } : {}),
  };
}

/** Which further device was let in under somebody's name: by whose word, when, and whether the person said yes to it. */
const letInJson = ({ person, device, decidedBy, at, agreed }: LetIn) => ({
  person,
  device,
  decidedBy,
  at: new Date(at).toISOString(),
  agreed,
});

function agreementJson({ locked, isAsWritten }: TestResults) {
  const rows = locked.flatMap(({ candidate, judge, section, item, side, criterion, level }) =>
    level === "not-seen"
      ? []
      : [
          {
            performance: `${candidate}/${placeKey({ section, item, side, criterion })}`,
            candidate,
            judge,
            item: [section, item, side].filter(Boolean).join("/"),
            criterion,
            mark: level,
          },
        ],
  );
  const {
    severity: _,
    candidates: __,
    ...figures
  } = agreementFigures(
    panelOf(isAsWritten ? rows : inPlace(rows), [
      "candidate",
      "section",
      "item",
      "side",
      "criterion",
    ]),
    {
      random: [],
      fixed: [],
      seed: SEED,
    },
  );
  return figures;
}

function candidateJson(one: Candidate) {
  const { candidate, number, issued, repeats, doubt, outcome, change } = one;
  const { computed, score, scoreRounded, sections, questions, panelMarks } = outcome;
  return {
    candidate,
    ...(number === undefined ? {} : { number }),
    rubric: outcome.rubric,
    computed,
    issued,
    ...(doubt ? { doubt } : {}),
    score: score?.percent ?? null,
    scoreExact: score?.exact ?? null,
    scoreRounded,
    sections: sections.map((section) => ({
      id: section.id,
      score: section.score?.percent ?? null,
      scoreExact: section.score?.exact ?? null,
      floor: section.floor,
      met: section.unmet.length === 0,
      seen: section.seen,
      excused: section.isExcused,
      mustShowUnmet: itemsOf(section, "below"),
      mustShowUnseen: itemsOf(section, "unseen"),
    })),
    retestSections: repeats,
    adjusted: outcome.adjusted ?? null,
    ...(outcome.adjustedReason ? { adjustedReason: outcome.adjustedReason } : {}),
    certainty: outcome.certainty ? certaintyJson(outcome.certainty) : null,
    smallestChange: change,
    ...(outcome.certainty ? {} : { certaintyReason: outcome.certaintyReason }),
    flags: questions.map(questionJson),
    panelMarks: panelMarks.map(panelMarkJson),
  };
}

/** In percent, as every number here. */
const certaintyJson = ({ pass, sure, word, flatJudges, withFlat }: Certainty) => ({
  pass: 100 * pass,
  sure: 100 * sure,
  word,
  flatJudges,
  withFlatJudges: withFlat && {
    pass: 100 * withFlat.pass,
    sure: 100 * withFlat.sure,
    word: withFlat.word,
  },
});

const questionJson = ({ isSettled, ...question }: Question) => ({
  ...question,
  settled: isSettled,
});

const panelMarkJson = ({
  section,
  item,
  side,
  criterion,
  level,
  exact,
  judges,
  used,
}: Outcome["panelMarks"][number]) => ({
  section,
  item,
  side,
  criterion,
  level,
  exact,
  judges,
  used,
});

function judgesJson({ marks, ways, judges, severity: { found } }: TestResults) {
  const counts = new Map<PersonId, { marks: number; notSeen: number }>();
  for (const { judge, level } of marks) {
    let its = counts.get(judge);
    if (!its) counts.set(judge, (its = { marks: 0, notSeen: 0 }));
    if (level === "not-seen") its.notSeen++;
    else its.marks++;
  }
  return [...counts]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([judge, count]) => {
      const report = judges.find((one) => one.judge === judge);
      const its = report?.severity;
      return {
        judge,
        ...count,
        standing: report?.standing ?? "too-little",
        shared: report?.shared ?? 0,
        severity: its?.value ?? null,
        se: its?.se ?? null,
        // Two questions, two rules: is it chance, and is it more than judges commonly differ?
        beyondChance: its?.isBeyondChance ?? null,
        beyondCommon: its?.isBeyondCommon ?? null,
        against: its?.against ?? null,
        ...(its
          ? {}
          : { severityReason: found.kind === "not-possible" ? found.reason : "no-marks" }),
        ...paceJson(report?.pace),
        ...waysJson(ways.find((one) => one.judge === judge)),
      };
    });
}

function paceJson(pace: JudgeReport["pace"] = { reason: "no-times" }) {
  if ("reason" in pace) return { pace: null, paceReason: pace.reason };
  const { isHasty, ...its } = pace;
  return { pace: { ...its, hasty: isHasty } };
}

/** Beside severity: null with the reason where marks cannot say. */
function waysJson(ways: JudgeWays | undefined) {
  if (!ways)
    return {
      flat: null,
      sameShare: null,
      restShare: null,
      effects: null,
      effectsReason: "no-marks",
    };
  const { isFlat, sameShare, restShare, effects, criteria } = ways;
  return {
    flat: isFlat,
    sameShare,
    restShare,
    effects: Object.fromEntries(
      Object.entries(effects).map(([name, effect]) => [
        name,
        "reason" in effect
          ? { value: null, reason: effect.reason }
          : {
              value: effect.value,
              se: effect.se,
              p: effect.p,
              odd: effect.isOdd,
              ...(effect.criterion === undefined ? {} : { criterion: criteria[effect.criterion] }),
            },
      ]),
    ),
  };
}

const itemsOf = ({ unmet }: Outcome["sections"][number], why: "below" | "unseen") =>
  unmet.flatMap((one) => (one.why === why && one.item ? [one.item] : []));
