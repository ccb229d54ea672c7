import type { PersonId } from "../core/identity.ts";
import type { Flag, Outcome } from "../core/verdict/outcome.ts";
import type { Candidate, TestResults } from "./test-results.ts";

const LATER = "later";

/** The results as data: numbers in percent, what is not computed yet null with the reason beside it. */
export function resultsJson({ grading, candidates, marks }: TestResults) {
  const rubrics = new Map(
    candidates.map(({ rubric: { id, version } }) => [`${id}/${version}`, { id, version }]),
  );
  return {
    grading,
    rubrics: [...rubrics.values()],
    candidates: candidates.map(candidateJson),
    judges: judgesJson(marks),
    agreement: null,
    agreementReason: LATER,
  };
}

function candidateJson({ candidate, number, issued, outcome }: Candidate) {
  const { computed, score, scoreRounded, sections, retestSections, flags, panelMarks } = outcome;
  return {
    candidate,
    ...(number === undefined ? {} : { number }),
    rubric: outcome.rubric,
    computed,
    issued,
    score: score?.percent ?? null,
    scoreExact: score?.exact ?? null,
    scoreRounded,
    sections: sections.map((section) => ({
      id: section.id,
      score: section.score?.percent ?? null,
      scoreExact: section.score?.exact ?? null,
      floor: section.floor,
      met: section.met,
      seen: section.seen,
      excused: section.isExcused,
      mustShowUnmet: section.mustShowUnmet,
      mustShowUnseen: section.mustShowUnseen,
    })),
    retestSections,
    certainty: outcome.certainty,
    certaintyReason: outcome.certaintyReason,
    flags: flags.map(flagJson),
    panelMarks: panelMarks.map(panelMarkJson),
  };
}

const flagJson = ({ isSettled, ...flag }: Flag) => ({ ...flag, settled: isSettled });

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

function judgesJson(marks: TestResults["marks"]) {
  const counts = new Map<PersonId, { marks: number; notSeen: number; rest: number }>();
  for (const { judge, level, how } of marks) {
    let its = counts.get(judge);
    if (!its) counts.set(judge, (its = { marks: 0, notSeen: 0, rest: 0 }));
    if (level === "not-seen") its.notSeen++;
    else {
      its.marks++;
      if (how === "rest") its.rest++;
    }
  }
  return [...counts]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .map(([judge, { marks: given, notSeen, rest }]) => ({
      judge,
      marks: given,
      notSeen,
      restShare: given === 0 ? null : rest / given,
      severity: null,
      se: null,
      severityReason: LATER,
    }));
}
