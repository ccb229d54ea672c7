import type { PersonId } from "../../book/identity.ts";
import {
  type EffectName,
  type JudgeEffects,
  judgeEffects,
} from "../../ratings/effects/judge-effects.ts";
import { type NoPace, type Pace, pace, type Stroke } from "../../ratings/effects/pace.ts";
import type { CandidateId, CriterionId } from "../identity.ts";
import { type MarkedCandidate, panelMarks } from "./panel-marks.ts";
import { scaleStep } from "./scale-step.ts";

/** Something about a judge that ordinary judges do not show, beside severity. `criterion` where it is about one. */
export interface OddEffect {
  name: Exclude<EffectName, "severity">;
  /** See `EffectName`: in levels, but for shares and slopes. */
  value: number;
  criterion?: CriterionId | undefined;
}

const names = ["own-students", "drift", "compressed", "halo", "criterion"] as const;

/**
 * What is odd about one judge beside severity, with one false alarm in twenty panels: see `judgeEffects`. The alarm of severity is in the one sentence about severity (`judgeReports`).
 */
export const oddEffects = ({ effects, criteria }: JudgeWays): OddEffect[] =>
  names.flatMap((name): OddEffect[] => {
    const effect = effects[name];
    if (!("p" in effect) || !effect.isOdd) return [];
    const criterion = effect.criterion === undefined ? undefined : criteria[effect.criterion];
    return [{ name, value: effect.value, ...(criterion ? { criterion } : {}) }];
  });

/** One judge's effects, by name; `criteria` are what their numbers stand for. */
export interface JudgeWays extends Omit<JudgeEffects, "judge"> {
  judge: PersonId;
  criteria: readonly CriterionId[];
  /** How fast the judge marked; no alarm hangs on it. */
  pace: Pace | NoPace;
}

/**
 * Every effect of every judge with its error, or why there is none: see `judgeEffects`.
 *
 * @param given marks at lock of open sections. @param waveOf when each candidate stood on the floor. @param isOwn whether the judge declared the candidate an own student.
 * @param strokes every line of marks by its judge, for their pace; paper has none.
 * @returns in the order of `panelMarks`: everybody who wrote a mark.
 */
export function judgeWays(
  given: readonly MarkedCandidate[],
  waveOf: (candidate: CandidateId) => number,
  isOwn: (judge: PersonId, candidate: CandidateId) => boolean,
  strokes: ReadonlyMap<PersonId, readonly Stroke[]> = new Map(),
): JudgeWays[] {
  const { cells, judges, candidates, criteria, performances, isRest } = panelMarks(given);
  if (judges.length === 0) return [];
  const known = [...new Set(criteria)];
  const found = judgeEffects({
    marks: cells,
    step: scaleStep(given),
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
    pace: pace(strokes.get(judges[judge] as PersonId) ?? []),
    ...its,
  }));
}
