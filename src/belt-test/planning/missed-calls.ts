import type { CandidateId } from "../identity.ts";
import { isKnown } from "../scorebook/entry.ts";
import { isCallOf } from "../scorebook/lane-words.ts";
import type { Presence } from "../scorebook/presence.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { markedAlike, type Step } from "../script/script.ts";
import { calledIndex, isAlone, waveScript, whoCame } from "./wave-script.ts";

/** What a child who is here now was not here for. */
export interface MissedCalls {
  candidate: CandidateId;
  steps: Step[];
  /** `expected`: not checked in yet, and may have stood there all the same. `away`: somebody had said so, or others came in its turn. */
  was: "away" | "expected";
}

/**
 * Who of a wave is here by now, and was not checked in when something was called last that the wave has been shown: checked in late, or gone for a while.
 * In the order of lanes, at most once for each way of having been missing; the steps in the order of the script. At the first side of two that are marked together nothing is missed.
 */
export function missedCalls(book: Scorebook, wave: number): MissedCalls[] {
  const calls = book.floor.calls.filter(({ body }) => body.wave === wave);
  if (calls.length === 0) return [];
  const script = waveScript(book, wave);
  const reached = new Set(script.slice(0, calledIndex(book, wave, script) + 1));
  // The close of a section is called to nobody.
  const steps = script
    .flatMap(markedAlike)
    .filter(({ asked, item, marking }) => asked && (item !== null || marking === "checklist"));
  return book.plan.lanes(wave).flatMap((candidate) => {
    const said = book.floor.presenceSaid(candidate);
    if (book.floor.presence(candidate) !== "checked-in" || !said) return [];
    const missing = (step: Step): MissedCalls["was"] | undefined => {
      if (!step.candidates.includes(candidate)) return undefined;
      const call = calls[lastCallOf(step)];
      // Passed over while others came in their turn.
      if (!call) return isAlone(step) && reached.has(step) ? "away" : undefined;
      if (said.lamport < call.lamport) return undefined;
      const then = presenceAt(book, candidate, call.lamport);
      if (then === "checked-in") return undefined;
      if (then !== "expected") return "away";
      // What is on the floor is not missed yet.
      return call === calls.at(-1) ? undefined : "expected";
    };
    return (["away", "expected"] as const).flatMap((was) => {
      const missed = steps.filter((step) => missing(step) === was);
      return missed.length > 0 ? [{ candidate, steps: missed, was }] : [];
    });
  });

  function lastCallOf(step: Step): number {
    if (!isAlone(step)) return step.called ?? -1;
    const [child] = step.candidates;
    return calls.findLastIndex(
      (call, at) => isCallOf(call.body, step) && whoCame(book, call, at) === child,
    );
  }
}

const words: ReadonlySet<string> = new Set<Presence>(["expected", "checked-in", "absent", "unfit"]);

/** What had been said of a child at a logical time. Goes through the whole book: asked of those alone who came after a call. */
function presenceAt(book: Scorebook, candidate: CandidateId, lamport: number): string {
  let newest = { lamport: -1, kind: "expected" };
  for (const entry of book.entries()) {
    if (!words.has(entry.kind) || !isKnown(entry) || entry.lamport > lamport) continue;
    if ((entry.body as { candidate?: CandidateId }).candidate !== candidate) continue;
    if (entry.lamport > newest.lamport) newest = entry;
  }
  return newest.kind;
}
