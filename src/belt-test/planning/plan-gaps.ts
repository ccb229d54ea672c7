import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, RubricId, SectionId } from "../identity.ts";
import { lineLoad } from "../rubric/line-load.ts";
import type { Section } from "../rubric/rubric.ts";
import { isHere } from "../scorebook/is-here.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/** Something a plan lacks. `needed` holds the test back; `advice` asks whether it is meant. */
export type PlanGap = { weight: "needed" | "advice" } & (
  | { code: "NO_RUBRIC" | "NO_CANDIDATE" | "NO_JUDGE" | "NO_CALLER" | "NO_DESK" }
  | { code: "FEWER_JUDGES_THAN_QUORUM"; rubric: RubricId; judges: number; quorum: number }
  | { code: "RUBRIC_MISSING" | "WITHOUT_WAVE" | "IN_TWO_WAVES"; candidates: CandidateId[] }
  | { code: "SECTION_TWO_WAYS"; wave: number; section: SectionId; candidates: CandidateId[] }
  | {
      code: "LANE_UNWATCHED";
      wave: number;
      lane: number;
      candidate: CandidateId;
      sections: SectionId[];
    }
  | {
      code: "LANE_BELOW_QUORUM";
      wave: number;
      lane: number;
      candidate: CandidateId;
      watching: number;
      quorum: number;
    }
  | {
      code: "LOAD_HEAVY" | "LOAD_TOO_HEAVY";
      wave: number;
      judge: PersonId;
      lanes: number;
      carries: number;
    }
);

/**
 * What is missing before this test can be opened, in the order in which a plan is made?
 *
 * Candidates who are absent, not fit today or withdrawn are no part of the plan and no gap. Lanes count from 1, from the left.
 * The load takes each judge's lanes of a wave at once, under each of their rubrics: a wave of two ranks is reckoned as if all
 * did the heavier step, so it may warn too early, never too late.
 * @returns an empty list for a plan that is whole.
 */
export function planGaps(book: Scorebook): PlanGap[] {
  const gaps: PlanGap[] = [];
  const coming = book.plan.entrants.filter(({ candidate }) => isHere(book, candidate));
  const isComing = new Set(coming.map(({ candidate }) => candidate));
  const seatedAs = (role: "judge" | "caller" | "desk") =>
    book.plan.seats.filter(({ roles }) => roles.includes(role));
  const judges = seatedAs("judge");

  if (book.plan.rubrics.length === 0) gaps.push({ weight: "needed", code: "NO_RUBRIC" });
  if (coming.length === 0) gaps.push({ weight: "needed", code: "NO_CANDIDATE" });
  const homeless = coming.filter(({ rubric }) => !book.plan.rubric(rubric));
  if (homeless.length > 0)
    gaps.push({ weight: "needed", code: "RUBRIC_MISSING", candidates: idsOf(homeless) });

  if (judges.length === 0) gaps.push({ weight: "needed", code: "NO_JUDGE" });
  else {
    for (const rubric of book.plan.rubrics) {
      const { quorum } = rubric.panel;
      if (coming.some((one) => one.rubric === rubric.id) && judges.length < quorum)
        gaps.push({
          weight: "advice",
          code: "FEWER_JUDGES_THAN_QUORUM",
          rubric: rubric.id,
          judges: judges.length,
          quorum,
        });
    }
  }
  if (seatedAs("caller").length === 0) gaps.push({ weight: "advice", code: "NO_CALLER" });
  if (seatedAs("desk").length === 0) gaps.push({ weight: "advice", code: "NO_DESK" });

  const standing = book.plan.waves.flatMap(({ wave, lanes }) =>
    lanes.map((candidate, index) => ({ wave, lane: index + 1, candidate })),
  );
  const waveless = coming.filter(
    ({ candidate }) => !standing.some((place) => place.candidate === candidate),
  );
  if (waveless.length > 0)
    gaps.push({ weight: "needed", code: "WITHOUT_WAVE", candidates: idsOf(waveless) });
  const twice = coming.filter(
    ({ candidate }) => standing.filter((place) => place.candidate === candidate).length > 1,
  );
  if (twice.length > 0)
    gaps.push({ weight: "needed", code: "IN_TWO_WAVES", candidates: idsOf(twice) });

  for (const { wave, lanes } of book.plan.waves)
    gaps.push(
      ...markedInSeveralWays(
        book,
        lanes.filter((one) => isComing.has(one)),
      ).map((gap) => ({
        weight: "needed" as const,
        code: "SECTION_TWO_WAYS" as const,
        wave,
        ...gap,
      })),
    );

  for (const { wave, lane, candidate } of standing) {
    if (!isComing.has(candidate)) continue;
    const rubric = book.plan.rubricOf(candidate);
    if (!rubric) continue;
    const watching = rubric.sections.map(({ id }) => ({
      id,
      judges: book.panel.judgesOf(candidate, id).length,
    }));
    const sections = watching.filter((one) => one.judges === 0).map(({ id }) => id);
    const fewest = Math.min(...watching.map((one) => one.judges));
    const { quorum } = rubric.panel;
    if (sections.length > 0)
      gaps.push({ weight: "needed", code: "LANE_UNWATCHED", wave, lane, candidate, sections });
    else if (fewest < quorum)
      gaps.push({
        weight: "advice",
        code: "LANE_BELOW_QUORUM",
        wave,
        lane,
        candidate,
        watching: fewest,
        quorum,
      });
  }

  for (const { wave, lanes } of book.plan.waves)
    for (const { person: judge } of judges) {
      const watched = lanes.filter(
        (candidate) => isComing.has(candidate) && isWatching(book, judge, candidate),
      );
      const load = heaviestOf(book, watched);
      if (load)
        gaps.push({
          weight: "advice",
          code: load.isTooHeavy ? "LOAD_TOO_HEAVY" : "LOAD_HEAVY",
          wave,
          judge,
          lanes: watched.length,
          carries: load.carries,
        });
    }
  return gaps;
}

/** Sections that some of these children's rubrics mark as a line, or one child at a time, or as a list, and others otherwise; with who differs from the first. */
function markedInSeveralWays(
  book: Scorebook,
  lanes: readonly CandidateId[],
): { section: SectionId; candidates: CandidateId[] }[] {
  const found = new Map<SectionId, { marking: Section["marking"]; others: CandidateId[] }>();
  for (const candidate of lanes)
    for (const { id, marking } of book.plan.rubricOf(candidate)?.sections ?? []) {
      const its = found.get(id);
      if (!its) found.set(id, { marking, others: [] });
      else if (its.marking !== marking) its.others.push(candidate);
    }
  return [...found].flatMap(([section, { others }]) =>
    others.length > 0 ? [{ section, candidates: others }] : [],
  );
}

/** Whether this judge marks this candidate in any section. */
function isWatching(book: Scorebook, judge: PersonId, candidate: CandidateId): boolean {
  const sections = book.plan.rubricOf(candidate)?.sections ?? [];
  return sections.some(({ id }) => book.panel.judgesOf(candidate, id).includes(judge));
}

function heaviestOf(
  book: Scorebook,
  watched: readonly CandidateId[],
): { isTooHeavy: boolean; carries: number } | undefined {
  if (watched.length === 0) return undefined;
  const rubrics = new Set(watched.flatMap((candidate) => book.plan.rubricOf(candidate) ?? []));
  const steps = [...rubrics].flatMap((rubric) => lineLoad(rubric, watched.length) ?? []);
  const heavy = steps.filter(({ load }) => load.advice !== "fine" || !load.fits);
  if (heavy.length === 0) return undefined;
  return {
    isTooHeavy: heavy.some(({ load }) => load.advice === "override"),
    carries: Math.min(...heavy.map(({ carries }) => carries)),
  };
}

const idsOf = (entrants: readonly { candidate: CandidateId }[]): CandidateId[] =>
  entrants.map(({ candidate }) => candidate);
