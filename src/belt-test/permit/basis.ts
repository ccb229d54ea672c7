import { deviceOf } from "../../book/counts.ts";
import type { Fault } from "../../book/faults.ts";

import { type LockOrAnswer, refusalOfBasis } from "../scorebook/refusal-of-basis.ts";
import type { Asked } from "./refusals.ts";

/** What refuses what a lock, or an answer, speaks of (`refusalOfBasis`). Of the device's own counts it may speak of what was heard and refused. */
export function refusalOfWhatItSpeaksOf(
  { book, writer: { heardIn = () => 0 } }: Asked,
  entry: LockOrAnswer,
): Fault | null {
  const { device, body } = entry;
  const wasHeard = (count: string, n: number): boolean =>
    count !== device && deviceOf(count) === deviceOf(device) && n <= heardIn(count);
  const rest = Object.entries(body.basis).filter(([count, n]) => !wasHeard(count, n));
  const basis = Object.fromEntries(rest) as typeof body.basis;
  return refusalOfBasis(book, { ...entry, body: { ...body, basis } } as typeof entry);
}
