import type { CertaintyWord } from "../../ratings/certainty/certainty-word.ts";
import type { Outcome, Question, Settlement } from "./outcome.ts";
import { byWeight } from "./outcome-of.ts";
import type { Certainty, NoCertainty } from "./panel-certainty.ts";
import { questionKeys } from "./question-keys.ts";

/**
 * An outcome with how sure it is, and with a question where the marks leave the result open and nothing else would make the chief look again.
 *
 * A result is not called clear while an open question could turn it: certainty speaks of the panel's noise, the question of these very marks.
 * Asked is only of results too close to call that no open question could turn already: a close one is told beside its name, and the queue stays short.
 *
 * @param certainty as `panelCertainty` found it, or why there is none. @param settlements of this candidate.
 * @returns a new outcome; nothing computed of it is another.
 */
export function withCertainty(
  outcome: Outcome,
  certainty: Certainty | NoCertainty,
  settlements: readonly Settlement[] = [],
): Outcome {
  if (typeof certainty === "string")
    return { ...outcome, certainty: null, certaintyReason: certainty };
  const isTurnable = outcome.questions.some(({ flips, isSettled }) => flips && !isSettled);
  const doubt = doubtful(certainty, isTurnable, settlements);
  return {
    ...outcome,
    certainty: isTurnable ? withoutClear(certainty) : certainty,
    ...(doubt ? { questions: [...outcome.questions, doubt].sort(byWeight) } : {}),
  };
}

/** With and without the judges who gave everybody the same mark: both are of the result that could be turned. */
function withoutClear(certainty: Certainty): Certainty {
  const { word, withFlat } = certainty;
  if (word !== "clear" && withFlat?.word !== "clear") return certainty;
  return {
    ...certainty,
    word: heldBack(word),
    withFlat: withFlat && { ...withFlat, word: heldBack(withFlat.word) },
  };
}

const heldBack = (word: CertaintyWord): CertaintyWord => (word === "clear" ? "close" : word);

/** “Of 100 equally good panels, so many would give the other result.” */
function doubtful(
  { sure, word }: Certainty,
  isTurnable: boolean,
  settlements: readonly Settlement[],
): Question | null {
  const key = questionKeys.doubtful();
  const isSettled = settlements.some(({ question }) => question === key);
  if (word !== "too close to call" || (isTurnable && !isSettled)) return null;
  return {
    kind: "doubtful",
    key,
    gap: 100 * (1 - sure),
    effect: isSettled ? "no-effect" : "could-change",
    flips: !isSettled,
    swing: 0,
    isSettled,
  };
}
