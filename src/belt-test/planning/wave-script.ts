import type { PersonId } from "../../book/identity.ts";
import { byAge } from "../../book/order.ts";
import type { CandidateId } from "../identity.ts";
import type { EntryBody, EntryOf } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { type LaneSwap, swapped } from "../scorebook/swapped-lanes.ts";
import { type Step, script, stepKey } from "../script/script.ts";

/**
 * The script of a wave as the book stands: whoever is absent, not fit or withdrawn is left out, excused items resolved. In a step the children stand as they did when it
 * was called: two who changed places at a later call stand in their lanes of before.
 *
 * @param judge  whose glass it is: what they swapped themselves they see wherever they look
 */
export function waveScript(book: Scorebook, wave: number, judge?: PersonId): Step[] {
  const candidates = book.plan.lanes(wave).flatMap((candidate) => {
    const rubric = book.plan.rubricOf(candidate);
    const presence = book.floor.presence(candidate);
    return rubric && (presence === "checked-in" || presence === "expected")
      ? [{ candidate, rubric }]
      : [];
  });
  const steps = script({
    candidates,
    isExcused: (candidate, item) => book.plan.excuse(candidate, item) !== undefined,
  });
  const swaps = book.plan.swaps(wave);
  return swaps.length > 0 ? asTheyStood(book, wave, steps, swaps, judge) : steps;
}

function asTheyStood(
  book: Scorebook,
  wave: number,
  steps: Step[],
  swaps: readonly LaneSwap[],
  judge: PersonId | undefined,
): Step[] {
  const saidAt = swaps.map(({ said }) => Math.min(...said.map(callOf)));
  const planned = swapped(book.plan.lanes(wave), swaps.toReversed());
  return steps.map((step, index) => {
    if (saidAt.every((at) => at <= index)) return step;
    const lanes = swapped(
      planned,
      swaps.filter((_, one) => (saidAt[one] as number) <= index),
    );
    return { ...step, candidates: lanes.filter((one) => step.candidates.includes(one)) };
  });
  /** From which call on: -1 for all of them. */
  function callOf(said: EntryOf<"lanes-swapped">): number {
    if (said.by === judge) return -1;
    const call =
      said.body.call ??
      book.floor.calls.findLast((one) => one.body.wave === wave && byAge(one, said) < 0)?.body;
    return call ? steps.findIndex((step) => isCalled(step, call)) : -1;
  }
}

export const isCalled = (
  step: Step,
  { section, item, side }: Pick<EntryBody<"called">, "section" | "item" | "side">,
): boolean => step.section === section && step.item === item && step.side === side;

/**
 * Where in a wave's script the newest call of that wave stands; -1 before the first. Where it is no longer in it, since the child on the floor left or is excused, the step
 * behind the newest call that is, or the last: nobody is passed over.
 */
export function calledIndex(book: Scorebook, wave: number, steps: readonly Step[]): number {
  let ahead = 0;
  for (const call of book.floor.calls.toReversed()) {
    if (call.body.wave !== wave) continue;
    const at = indexOfCall(book, call, steps);
    if (at >= 0) return Math.min(at + ahead, steps.length - 1);
    ahead = 1;
  }
  return Math.min(ahead, steps.length) - 1;
}

function indexOfCall(book: Scorebook, call: EntryOf<"called">, steps: readonly Step[]): number {
  const { section, item, side } = call.body;
  const candidates = call.body.candidates?.map((one) => whoCame(book, call, one));
  const key = stepKey({
    section,
    item,
    side,
    marking: candidates ? "single" : "line",
    candidates: candidates ?? [],
  });
  return steps.findIndex((step) => stepKey(step) === key);
}

/** Where children come one at a time: who came in the other's place is the one on the floor. */
function whoCame(book: Scorebook, call: EntryOf<"called">, called: CandidateId): CandidateId {
  let who = called;
  for (const { candidates, said } of book.plan.swapsEver(call.body.wave)) {
    const [a, b] = candidates;
    if (said.every((one) => byAge(call, one) >= 0)) continue;
    if (who === a) who = b;
    else if (who === b) who = a;
  }
  return who;
}

/** What the caller writes to call a step. */
export const callBody = (
  wave: number,
  { section, item, side, marking, candidates }: Step,
): EntryBody<"called"> => ({
  wave,
  section,
  item,
  side,
  ...(marking === "single" && item !== null ? { candidates: [...candidates] } : {}),
});
