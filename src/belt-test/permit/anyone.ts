import { nothing, type Refusals } from "./refusals.ts";

/** Safety is never refused. */
export const anyoneRefusals = {
  stopped: nothing,
  incident: nothing,
  withdrawn: nothing,
  erased: nothing,
  "let-in": nothing,
} satisfies Refusals;
