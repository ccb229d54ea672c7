import type { EntryBody } from "../scorebook/entry.ts";
import { laneIn } from "../scorebook/lane-words.ts";
import type { Step } from "../script/script.ts";

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
