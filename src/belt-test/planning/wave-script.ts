import type { EntryBody, EntryOf } from "../scorebook/entry.ts";
import { isCallOf, laneIn } from "../scorebook/lane-words.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { type Step, script, stepKey } from "../script/script.ts";

/**
 * The script of a wave as the book stands: whoever is absent, not fit or withdrawn is left out, excused items resolved. In a step the children stand as they did when it
 * was called last: two who changed places at a later call stand in their lanes of before.
 */
export function waveScript(book: Scorebook, wave: number): Step[] {
  const candidates = book.plan.lanes(wave).flatMap((candidate) => {
    const rubric = book.plan.rubricOf(candidate);
    const presence = book.floor.presence(candidate);
    return rubric && (presence === "checked-in" || presence === "expected")
      ? [{ candidate, rubric }]
      : [];
  });
  const calls = callsOf(book, wave);
  return script({
    candidates,
    isExcused: (candidate, item) => book.plan.excuse(candidate, item) !== undefined,
  }).map((step) => {
    const lanes = book.plan.lanesAt(wave, lastCallOf(calls, step));
    // Whoever came to the wave later stands behind those of then.
    const stood = [...lanes, ...step.candidates.filter((one) => !lanes.includes(one))];
    return { ...step, lanes, candidates: stood.filter((one) => step.candidates.includes(one)) };
  });
}

const callsOf = (book: Scorebook, wave: number): EntryOf<"called">[] =>
  book.floor.calls.filter(({ body }) => body.wave === wave);

/**
 * Which call of its wave a step was called by last; infinite before it is. Where children come one at a time whoever came stayed for all items, so that the section is one.
 */
function lastCallOf(calls: readonly EntryOf<"called">[], step: Step): number {
  const at = calls.findLastIndex(({ body }) =>
    isAlone(step) ? body.section === step.section && body.item !== null : isCallOf(body, step),
  );
  return at < 0 ? Number.POSITIVE_INFINITY : at;
}

const isAlone = ({ marking, item }: Step): boolean => marking === "single" && item !== null;

/**
 * Where in a wave's script the newest call of that wave stands; -1 before the first. Where it is no longer in it, since the child on the floor left or is excused, the step
 * behind it, or the last: nobody is passed over.
 */
export function calledIndex(book: Scorebook, wave: number, steps: readonly Step[]): number {
  let ahead = 0;
  for (const call of callsOf(book, wave).toReversed()) {
    const at = indexOfCall(book, call, steps);
    if (at >= 0) return Math.min(at + ahead, steps.length - 1);
    if (ahead === 0) {
      const next = indexBehindTurn(call, steps);
      if (next >= 0) return next;
    }
    ahead = 1;
  }
  return Math.min(ahead, steps.length) - 1;
}

function indexOfCall(book: Scorebook, call: EntryOf<"called">, steps: readonly Step[]): number {
  const { wave, section, item, side, candidates, lane } = call.body;
  // Two came in each other's turn: whoever stands in the lane that was called is on the floor.
  if (candidates && lane !== undefined && book.plan.hadTheSame(wave, call, book.plan.lanes(wave)))
    return steps.findIndex(
      (step) => isCallOf(call.body, step) && laneIn(step.lanes, onFloor(step)) === lane,
    );
  const marking = candidates ? "single" : "line";
  const key = stepKey({ section, item, side, marking, candidates: candidates ?? [] });
  return steps.findIndex((step) => stepKey(step) === key);
}

/** Where a child left in the own turn: the turn of the next one, or what is called when all have come; -1 where the child goes on. */
function indexBehindTurn({ body }: EntryOf<"called">, steps: readonly Step[]): number {
  const { lane, section } = body;
  const isIn = (step: Step) => step.section === section && isAlone(step);
  const isOf = (step: Step) => laneIn(step.lanes, onFloor(step)) ?? 0;
  const isBegun = steps.findIndex(isIn);
  if (lane === undefined || isBegun < 0 || steps.some((step) => isIn(step) && isOf(step) === lane))
    return -1;
  return steps.findIndex((step, at) => at >= isBegun && (!isIn(step) || isOf(step) > lane));
}

const onFloor = ({ candidates }: Step) => candidates[0] as Step["candidates"][number];

/** What the caller writes to call a step. */
export function callBody(
  wave: number,
  { section, item, side, marking, candidates, lanes }: Step,
): EntryBody<"called"> {
  const called = { wave, section, item, side };
  if (marking !== "single" || item === null) return called;
  const [first] = candidates;
  const lane = first && laneIn(lanes, first);
  return { ...called, candidates: [...candidates], ...(lane && { lane }) };
}
