import type { DeviceRow } from "../../ports/door-tables.ts";

/** Told of what a copy from before would undo at the door, before it is so: what is noted beside the store outlives the copy. */
export interface BesideDoor {
  /** This token opens nothing from now on. */
  ended(tokenHash: string): void;
  /** The holder of this token is in one test as this person and in these roles from now on. */
  stands(row: Pick<DeviceRow, "tokenHash" | "grading" | "person" | "roles">): void;
}

/** For a door whose store is never put back. */
export const nothingBeside: BesideDoor = { ended: () => undefined, stands: () => undefined };
