import type { CandidateId } from "../identity.ts";
import { isAway } from "./presence.ts";
import type { Scorebook } from "./scorebook.ts";

/** Whether the candidate takes part, as far as is known: nothing is asked about somebody who does not. */
export const isHere = ({ floor }: Pick<Scorebook, "floor">, candidate: CandidateId): boolean =>
  !isAway(floor.presence(candidate));
