import type { CandidateId, CriterionId, PersonId } from "../identity.ts";
import { type EffectName, judgeEffects } from "../panel/effects/judge-effects.ts";
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
  const { cells, judges, candidates, criteria, performances, isRest } = panelMarks(given);
  if (judges.length === 0) return new Map();
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
  return new Map(
    found.map(({ judge, isFlat, effects }) => [
      judges[judge] as PersonId,
      {
        isFlat,
        odd: names.flatMap((name): OddEffect[] => {
          const effect = effects[name];
          if (!("p" in effect) || !effect.isOdd) return [];
          const criterion = effect.criterion === undefined ? undefined : known[effect.criterion];
          return [{ name, value: effect.value, ...(criterion ? { criterion } : {}) }];
        }),
      },
    ]),
  );
}
