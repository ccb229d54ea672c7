import type { Place } from "../scorebook/cell.ts";
import type { EntryBody } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { type Step, script, stepKey } from "../script/script.ts";

/** The script of a wave as the book stands: whoever is absent, not fit or withdrawn is left out, excused items resolved. */
export function waveScript(book: Scorebook, wave: number): Step[] {
  const candidates = book.plan.lanes(wave).flatMap((candidate) => {
    const rubric = book.plan.rubricOf(candidate);
    const presence = book.floor.presence(candidate);
    return rubric && (presence === "checked-in" || presence === "expected")
      ? [{ candidate, rubric }]
      : [];
  });
  return script({
    candidates,
    isExcused: (candidate, item) => book.plan.excuse(candidate, item) !== undefined,
  });
}

/** Where in a wave's script the newest call of that wave stands; -1 before the first, or when what was called is no longer in it. */
export function calledIndex(book: Scorebook, wave: number, steps: readonly Step[]): number {
  const call = book.floor.calls.findLast(({ body }) => body.wave === wave);
  if (!call) return -1;
  const { section, item, side, candidates } = call.body;
  const key = stepKey({
    section,
    item,
    side,
    marking: candidates ? "single" : "line",
    candidates: candidates ?? [],
  });
  return steps.findIndex((step) => stepKey(step) === key);
}

/** The row of cells that a call is about; undefined when what was called is no longer in the script. */
export function rowOfCall(
  { section, item, side }: EntryBody<"called">,
  steps: readonly Step[],
): Pick<Place, "section" | "item" | "side"> | undefined {
  const step = steps.find(
    (one) => one.section === section && one.item === item && one.side === side,
  );
  return step && { section, item, side: step.markedSide };
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
