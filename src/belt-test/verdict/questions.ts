import { isAway } from "../scorebook/presence.ts";
import { borderline, levelGaps, listSplits, loneDissents, overalls } from "./disagreements.ts";
import { conflicts, lateMarks, relations } from "./doubtful-marks.ts";
import { blanks, noQuorum, unseen } from "./missing-marks.ts";
import type { Posed, Reconciled } from "./question.ts";

/** Every question a candidate's marks raise, in sections whose marks are open. */
export function questions(reconciled: Reconciled): Posed[] {
  const { from } = reconciled;
  if (isAway(from.presence)) return [];
  const found: Posed[] = [];
  for (const [at, { section, from: first, to }] of reconciled.weighing.sections.entries()) {
    if (first === to || !from.revealed.includes(section.id)) continue;
    found.push(
      ...unseen(reconciled, at),
      ...noQuorum(reconciled, at),
      ...blanks(reconciled, at),
      ...overalls(reconciled, at),
      ...loneDissents(reconciled, at),
      ...levelGaps(reconciled, at),
      ...listSplits(reconciled, at),
      ...lateMarks(reconciled, section.id),
    );
  }
  found.push(...relations(reconciled), ...conflicts(reconciled), ...borderline(reconciled));
  return found;
}
