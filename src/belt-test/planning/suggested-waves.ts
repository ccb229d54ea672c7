import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, RubricId } from "../identity.ts";
import { lineLoad } from "../rubric/line-load.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { ring } from "./ring.ts";

export interface SuggestedWave {
  wave: number;
  lanes: CandidateId[];
  /** Whom each judge watches, in lane order. */
  watches: Map<PersonId, CandidateId[]>;
}

/** More than a hall has lanes for, and than an eye follows. */
const WIDEST = 6;

/**
 * Who stands together and who watches whom, if nobody has a better idea.
 *
 * Candidates of one rubric stand together, in the order given, in waves as even as can be. A wave is as wide as the panel
 * can carry with a quorum on every lane, at most six and at least one; each judge then takes as many neighbouring lanes as the
 * quorum needs. Judges move round the ring from wave to wave (see ring.ts).
 * @param judges in seat order; none gives waves that nobody watches.
 * @returns no waves for no candidates.
 *
 * Where it fails: it knows nothing of size, temperament or friendship, nor who is whose student; the chief does.
 */
export function suggestedWaves({
  candidates,
  judges,
  rubrics,
}: {
  candidates: readonly { candidate: CandidateId; rubric: RubricId }[];
  judges: readonly PersonId[];
  rubrics: readonly Rubric[];
}): SuggestedWave[] {
  const suggested: SuggestedWave[] = [];
  for (const rubric of rubrics) {
    const group = candidates.filter((one) => one.rubric === rubric.id);
    const quorum = Math.min(rubric.panel.quorum, judges.length);
    const carries = Math.max(1, lineLoad(rubric, 1)?.carries ?? WIDEST);
    const wide =
      quorum === 0
        ? WIDEST
        : Math.max(1, Math.min(WIDEST, Math.floor((judges.length * carries) / quorum)));
    const waves = Math.ceil(group.length / wide);
    for (let index = 0; index < waves; index++) {
      const wave = suggested.length + 1;
      const lanes = group
        .slice(
          Math.round((index * group.length) / waves),
          Math.round(((index + 1) * group.length) / waves),
        )
        .map(({ candidate }) => candidate);
      const perJudge = Math.ceil((lanes.length * quorum) / Math.max(1, judges.length));
      suggested.push({
        wave,
        lanes,
        watches: judges.length === 0 ? new Map() : ring(lanes, judges, Math.max(1, perJudge), wave),
      });
    }
  }
  return suggested;
}
