import type { CandidateId, ItemId } from "../identity.ts";
import type { EntryOf } from "../scorebook/entry.ts";
import { isHere } from "../scorebook/is-here.ts";
import { isCallOf } from "../scorebook/lane-words.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { type Step, script, stepKey } from "../script/script.ts";

/**
 * What is called in a wave, and for whom: whoever is absent, not fit or withdrawn is left out, excused items resolved. The same wherever two stand in each other's place, so that it
 * costs nothing of how often that was said.
 */
export const waveSteps = (book: Scorebook, wave: number): Step[] =>
  stepsFor(book, book.plan.inWave(wave));
/** Grows with every entry that changes them: the plan, and who is here. */
export const stepsVersion = (book: Scorebook): number => book.planVersion + book.floor.version;

/**
 * The same as the script of a wave as the book stands, in the order of its lanes. In a step the children stand as they did when it
 * was called last: two who changed places at a later call stand in their lanes of before.
 */
export function waveScript(book: Scorebook, wave: number): Step[] {
  const calls = callsOf(book, wave);
  return stepsFor(book, book.plan.lanes(wave)).map((step) => {
    const called = lastCallOf(calls, step);
    const lanes = book.plan.lanesAt(wave, called);
    // Whoever came to the wave later stands behind those of then.
    const stood = [...new Set([...lanes, ...step.candidates])];
    return {
      ...step,
      lanes,
      called,
      candidates: stood.filter((one) => step.candidates.includes(one)),
    };
  });
}

function stepsFor(book: Scorebook, lanes: readonly CandidateId[]): Step[] {
  const candidates = lanes.flatMap((candidate) => {
    const rubric = book.plan.rubricOf(candidate);
    return rubric && isHere(book, candidate) ? [{ candidate, rubric }] : [];
  });
  const isExcused = (candidate: CandidateId, item: ItemId) =>
    book.plan.excuse(candidate, item) !== undefined;
  return script({ candidates, isExcused });
}

const callsOf = (book: Scorebook, wave: number): EntryOf<"called">[] =>
  book.floor.calls.filter(({ body }) => body.wave === wave);

/**
 * Which call of its wave a step was called by last; infinite before it is. Where children come one at a time whoever came stayed for all items, so that the section is one.
 */
function lastCallOf(calls: readonly EntryOf<"called">[], step: Step): number {
  const at = calls.findLastIndex(({ body }) =>
    isAlone(step)
      ? body.section === step.section && body.item !== null && body.candidates !== undefined
      : isCallOf(body, step) && body.candidates === undefined,
  );
  return at < 0 ? Number.POSITIVE_INFINITY : at;
}

/** Whether one child performs by themselves. */
export const isAlone = ({ marking, item }: Step): boolean => marking === "single" && item !== null;

/**
 * Who came to a call of one child alone. Two came in each other's turn: whoever stood in the lane that was called was on the floor.
 * @param at  which call of its wave it was, counted from 0
 */
export function whoCame(
  book: Scorebook,
  { body: { wave, lane, candidates }, lamport }: EntryOf<"called">,
  at: number,
): CandidateId | undefined {
  return (lane && book.plan.lanesAt(wave, at, lamport)[lane - 1]) || candidates?.[0];
}

/**
 * Where in a wave's script the newest call of that wave stands; -1 before the first. Where it is no longer in it, since the child on the floor left or is excused, the step
 * behind it, or the last: nobody is passed over.
 */
export function calledIndex(book: Scorebook, wave: number, steps: readonly Step[]): number {
  const calls = callsOf(book, wave);
  for (let at = calls.length - 1; at >= 0; at--) {
    const call = calls[at] as EntryOf<"called">;
    const { section, item, side, candidates, lane } = call.body;
    const lanes = lane ? book.plan.lanesAt(wave, at, call.lamport) : [];
    const came = whoCame(book, call, at);
    const marking = candidates ? "single" : "line";
    const key = stepKey({ section, item, side, marking, candidates: came ? [came] : [] });
    const found = steps.findIndex((step) => stepKey(step) === key);
    if (found >= 0) return Math.min(found + Number(at < calls.length - 1), steps.length - 1);
    const isTurn = (step: Step) => step.section === section && isAlone(step);
    const begin = steps.findIndex(isTurn);
    const goesOn = steps.some((step) => isTurn(step) && step.candidates[0] === came);
    if (!lane || at < calls.length - 1 || begin < 0 || goesOn) continue;
    // The turn of the next one, or what is called when all have come.
    const next = steps.findIndex(
      (step, index) =>
        index >= begin &&
        (!isTurn(step) || lanes.indexOf(step.candidates[0] as CandidateId) >= lane),
    );
    if (next >= 0) return next;
  }
  return Math.min(Number(calls.length > 0), steps.length) - 1;
}
