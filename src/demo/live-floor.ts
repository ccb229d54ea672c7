import { callBody } from "../belt-test/planning/call-body.ts";
import { calledIndex, waveScript } from "../belt-test/planning/wave-script.ts";
import type { FaultLibrary } from "../belt-test/rubric/fault-library.ts";
import { lockBody, placeOf, workOf } from "../belt-test/scorebook/judge-view.ts";
import type { Step } from "../belt-test/script/script.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { PersonId } from "../book/identity.ts";
import { tapsAt } from "./played.ts";
import type { Scenario } from "./scenario.ts";
import type { SimulatedTablet } from "./simulated-tablet.ts";

/** Seconds of a hall: the call itself, one count, the gap after the set (common practice, no source). */
const CALL_S = 4;
const COUNT_S = 1.5;
const GAP_S = 8;
/** A partner escape, or a form, is watched for about this long. */
const SINGLE_S = 16;

interface FloorSettings {
  scenario: Scenario;
  library: FaultLibrary;
  caller: SimulatedTablet;
  judges: ReadonlyMap<string, SimulatedTablet>;
  /** Calls up to this logical time are history: they were marked already. */
  since: number;
  /** 1 is the pace of a hall; 10 is ten times as fast. */
  speed: number;
}

/**
 * The invented people at work: the caller calls on, and every judge marks what is called, whoever calls it.
 * When somebody else calls, the caller hands over for good. A stop or a pause holds everybody.
 * @returns a function that sends them home.
 */
export function liveFloor({
  scenario,
  library,
  caller,
  judges,
  since,
  speed,
}: FloorSettings): () => void {
  const timers = new Set<ReturnType<typeof setTimeout>>();
  let isOver = false;
  let isHandedOver = false;
  const later = (seconds: number, act: () => void) => {
    const timer = setTimeout(
      () => {
        timers.delete(timer);
        if (!isOver) act();
      },
      (seconds * 1000) / speed,
    );
    timers.add(timer);
  };
  const isHeld = () => caller.book.floor.isPaused || caller.book.floor.stop?.stopped === true;

  // ── the judges ─────────────────────────────────────────────────────────────
  for (const [id, tablet] of judges) {
    tablet.onHear((entry) => {
      if (
        entry.kind !== "called" ||
        entry.lamport <= since ||
        tablet.book.floor.currentCall?.id !== entry.id
      )
        return;
      const { wave } = tablet.book.floor.currentCall.body;
      const steps = waveScript(tablet.book, wave);
      const step = steps[calledIndex(tablet.book, wave, steps)];
      if (!step) return;
      const quirks = scenario.judges.find((judge) => judge.id === id)?.quirks;
      const watched = watchSeconds(tablet, step) * 0.4;
      const span = watchSeconds(tablet, step) * 0.6 + (quirks?.pace ?? 6);
      for (const tap of tapsAt({ scenario, library, book: tablet.book }, id, wave, step)) {
        later(watched + tap.share * span, () => {
          if (!isHeld()) tablet.write(tap.write);
        });
      }
      later(watched + span + 2, () => lockWhatIsDone(id, tablet, wave, steps));
    });
  }

  /** Locks a section once its last step is called and everything in it is marked. */
  function lockWhatIsDone(
    id: string,
    tablet: SimulatedTablet,
    wave: number,
    steps: readonly Step[],
  ) {
    const reached = calledIndex(tablet.book, wave, steps);
    for (const { section, unlocked, blank, overallsMissing, steps: own } of workOf(
      tablet.book,
      id as PersonId,
      steps,
    )) {
      const last = steps.lastIndexOf(own.at(-1) as Step);
      if (unlocked.length === 0 || blank + overallsMissing > 0 || last > reached) continue;
      for (const candidate of unlocked)
        tablet.write((pen) =>
          pen.write("locked", lockBody(tablet.book, id as PersonId, section, candidate)),
        );
    }
  }

  // ── the caller ─────────────────────────────────────────────────────────────
  // Closed locks are not sent to a caller, who would else count on from before them.
  caller.pen.hear(since);
  const own = new Set<string>();
  caller.onHear((entry: AnyEntry) => {
    if (
      entry.kind === "called" &&
      entry.lamport > since &&
      !own.has(entry.id) &&
      entry.by !== scenario.caller.id
    )
      isHandedOver = true;
  });
  function callNext() {
    if (isHandedOver) return;
    // Not before this tablet has caught up with the day so far.
    if (isHeld() || !caller.isCaughtUp) return later(2, callNext);
    const wave = caller.book.floor.currentCall?.body.wave ?? 1;
    const steps = waveScript(caller.book, wave);
    const at = calledIndex(caller.book, wave, steps);
    const next = steps[at + 1];
    if (next) return call(wave, next);
    const following = caller.book.plan.waves.find((one) => one.wave > wave);
    const [first] = following ? waveScript(caller.book, following.wave) : [];
    if (following && first) later(GAP_S * 2, () => call(following.wave, first));
  }
  function call(wave: number, step: Step) {
    if (isHandedOver) return;
    const entry = caller.write((pen) => pen.write("called", callBody(wave, step)));
    own.add(entry.id);
    caller.pace(0);
    const counts = countsOf(caller, step);
    for (let count = 1; count <= counts; count++) {
      later(CALL_S + count * COUNT_S, () => {
        if (caller.book.floor.currentCall?.id === entry.id && !isHeld()) caller.pace(count);
      });
    }
    later(watchSeconds(caller, step) + GAP_S, callNext);
  }
  later(6, callNext);

  return () => {
    isOver = true;
    for (const timer of timers) clearTimeout(timer);
    caller.close();
    for (const tablet of judges.values()) tablet.close();
  };
}

function countsOf({ book }: SimulatedTablet, step: Step): number {
  const [first] = step.candidates;
  const counts = (first && placeOf(book, first, step)?.item?.counts) ?? 1;
  return counts > 1 ? counts : 0;
}
function watchSeconds(tablet: SimulatedTablet, step: Step): number {
  const counts = countsOf(tablet, step);
  return counts > 0 ? CALL_S + counts * COUNT_S : step.item === null ? 3 : SINGLE_S;
}
