import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { ScorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { GradingId, PersonId } from "../../src/book/identity.ts";
import type { Round } from "../world/lying-hall.ts";

/** How a day went: as planned, awry, or with somebody in the hall who lies. */
export const DAYS = ["smooth", "awry", "lying"] as const;
export type DayKind = (typeof DAYS)[number];
/** The same, and books of the first rules as they were kept. */
export const BOOKS = [...DAYS, "old"] as const;
export type BookKind = (typeof BOOKS)[number];

/** Somebody in the hall, as the door knows them. */
export interface Seated {
  person: PersonId;
  roles: readonly Role[];
}

/** A day as it was played, before it is written down. */
export interface PlayedDay {
  grading: GradingId;
  people: Seated[];
  /** What was handed in, in one commit after the other. */
  rounds: Round[];
}

/** One belt test, for ever. */
export interface OracleBook {
  number: number;
  day: BookKind;
  /** Cut at some moment, as a hub that is asked in the middle of the day has it. */
  isUnfinished: boolean;
  people: Seated[];
  /** As a hub exports it, with its chain and its signed head. */
  file: ScorebookFile;
  /** What was handed in and when, with all that was refused; absent where nobody wrote it down. */
  rounds?: Round[];
}
