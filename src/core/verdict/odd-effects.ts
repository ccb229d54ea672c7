import type { CandidateId, CriterionId, PersonId } from "../identity.ts";
import {
  type EffectName,
  type JudgeEffects,
  judgeEffects,
} from "../panel/effects/judge-effects.ts";
import { type MarkedCandidate, panelMarks } from "../panel/severity/panel-marks.ts";

/** Something about a judge that ordinary judges do not show, beside severity. `criterion` where it is about one. */
export interface OddEffect {
  name: Exclude<EffectName, "severity">;
  /** See `EffectName`: in levels, but for shares and slopes. */
  value: number;
  criterion?: CriterionId | undefined;
}

export interface OddJudge {
  isFlat: boolean;
  odd: readonly OddEffect[];
}

const names = ["own-students", "drift", "compressed", "halo", "criterion"] as const;

/**
 * What is odd about each judge, with one false alarm in twenty panels: see `judgeEffects`. Severity is told apart from it (`judgeReports`).
 *
 * @param given marks at lock of open sections. @param waveOf when each candidate stood on the floor. @param isOwn whether the judge declared the candidate an own student.
 * @returns by judge; a judge without marks is not in it.
 */
export function oddEffects(
  given: readonly MarkedCandidate[],
  waveOf: (candidate: CandidateId) => number,
  isOwn: (judge: PersonId, candidate: CandidateId) => boolean,
): ReadonlyMap<PersonId, OddJudge> {
  return new Map(
    judgeWays(given, waveOf, isOwn).map(({ judge, isFlat, effects, criteria }) => [
      judge,
      {
        isFlat,
        odd: names.flatMap((name): OddEffect[] => {
          const effect = effects[name];
          if (!("p" in effect) || !effect.isOdd) return [];
          const criterion = effect.criterion === undefined ? undefined : criteria[effect.criterion];
          return [{ name, value: effect.value, ...(criterion ? { criterion } : {}) }];
        }),
      },
    ]),
  );
}

/** One judge's effects, by name; `criteria` are what their numbers stand for. */
export interface JudgeWays extends Omit<JudgeEffects, "judge"> {
  judge: PersonId;
  criteria: readonly CriterionId[];
}

/** Every effect of every judge with its error, or why there is none: see `judgeEffects`. Arguments as in `oddEffects`. */
export function judgeWays(
  given: readonly MarkedCandidate[],
  waveOf: (candidate: CandidateId) => number,
  isOwn: (judge: PersonId, candidate: CandidateId) => boolean,
): JudgeWays[] {
  const { cells, judges, candidates, criteria, performances, isRest } = panelMarks(given);
  if (judges.length === 0) return [];
  const known = [...new Set(criteria)];
  const found = judgeEffects({
    marks: cells,
    levels: Math.max(...given.map(({ rubric }) => rubric.scale.levels.length)),
    criterion: Int32Array.from(criteria, (criterion) => known.indexOf(criterion)),
    performance: performances,
    moment: Float64Array.from(candidates, waveOf),
    isRest,
    isOwn: (candidate, judge) =>
      isOwn(judges[judge] as PersonId, candidates[candidate] as CandidateId),
  });
  return found.map(({ judge, ...its }) => ({
    judge: judges[judge] as PersonId,
    criteria: known,
    ...its,
  }));
}
