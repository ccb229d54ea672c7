import type { DeviceRow } from "../../ports/door-tables.ts";

/** Told of what a copy from before would undo at the door, before it is so: what is noted beside the store outlives the copy. */
export interface BesideDoor {
  /** This token opens nothing from now on. */
  ended(tokenHash: string): void;
  /** The holder of this token is in one test as this person and in these roles from now on. @returns the moment that it is noted under; undefined where nothing is */
  stands(row: Pick<DeviceRow, "tokenHash" | "grading" | "person" | "roles">): string | undefined;
}

/** The setting that says up to which moment a store itself knows how the holder of a token stands: an older note says nothing against it. */
export const stoodName = ({ tokenHash, grading }: Pick<DeviceRow, "tokenHash" | "grading">) =>
  `stood/${tokenHash}/${grading}`;

/** For a door whose store is never put back. */
export const nothingBeside: BesideDoor = { ended: () => undefined, stands: () => undefined };
