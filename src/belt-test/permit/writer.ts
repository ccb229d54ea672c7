import type { PersonId } from "../../book/identity.ts";
import type { Role } from "../kinds/body-parts.ts";

/** Who writes, as the hub knows it from the token, not from the entry. */
export interface Writer {
  person: PersonId;
  roles: readonly Role[];
  /** The hub itself: no device on the line, and nobody's file. */
  isHubs?: boolean;
  /** What they hand in is a file of a test that no hub had: the chief's device said itself what it held. */
  isFromRoad?: boolean;
  /** How far a count was heard, refused lines included: who refused one does not ask for it again. */
  heardIn?(count: string): number;
}

export const isChief = ({ roles }: Writer): boolean => roles.includes("chief");
