/** Whether a candidate is here; `expected` until the desk has said anything. */
export type Presence = "expected" | "checked-in" | "absent" | "unfit" | "withdrawn";

/** Whether somebody takes no part, or no part any more: nothing is asked of the marks, and no verdict is due. */
export const isAway = (presence: Presence): boolean =>
  presence === "absent" || presence === "unfit" || presence === "withdrawn";
