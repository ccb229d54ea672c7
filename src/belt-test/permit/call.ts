import type { Fault } from "../../book/faults.ts";
import type { callKinds } from "../kinds/call.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { nothing, type RefusalsOf, sinceSecondRules } from "./refusals.ts";

export const callRefusals = {
  called: nothing,
  paused: nothing,
  resumed: nothing,
  "lanes-swapped": sinceSecondRules(({ book }, entry) => refusalOfSwap(book, entry)),
} satisfies RefusalsOf<typeof callKinds>;

/** Two children of one wave; who left the wave since is passed over, as the swap itself is. */
function refusalOfSwap(
  book: Scorebook,
  { lamport, body: { wave, candidates } }: EntryOf<"lanes-swapped">,
): Fault | null {
  const [one, other] = candidates;
  const its = book.plan.inWave(wave);
  const stray = one === other ? one : candidates.find((candidate) => !its.includes(candidate));
  if (stray === undefined || lamport < book.plan.linedUpAt(wave)) return null;
  return { code: "LANE_OTHER", with: { candidate: stray, wave } };
}
