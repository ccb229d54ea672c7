import type { anyoneKinds } from "../kinds/anyone.ts";
import { nothing, type RefusalsOf } from "./refusals.ts";

/** A stop and its like are refused to nobody (`refusal.ts` asks no more of them); who may erase, and who came in, is said by their rows. */
export const anyoneRefusals = {
  stopped: nothing,
  incident: nothing,
  withdrawn: nothing,
  erased: nothing,
  "let-in": nothing,
} satisfies RefusalsOf<typeof anyoneKinds>;
