import type { DeviceId, GradingId, PersonId } from "../../src/core/identity.ts";
import { Pen } from "../../src/core/scorebook/pen.ts";
import { RULES, type Rules } from "../../src/core/scorebook/rules.ts";

export const aGradingId = "grading-1" as GradingId;
let made = 0;

/** A UUID of version 7 that counts up: the same in every run of one file. */
export function anEntryId(): string {
  made++;
  return `00000000-0000-7000-8000-${made.toString(16).padStart(12, "0")}`;
}

/** Somebody's pen on their own tablet. */
export function aPen(
  person: string,
  device = `${person}-tablet`,
  grading: GradingId = aGradingId,
  rules: Rules = RULES,
): Pen {
  return new Pen({
    grading,
    person: person as PersonId,
    device: device as DeviceId,
    makeId: anEntryId,
    nowMs: () => Date.UTC(2026, 5, 6, 10),
    rules: () => rules,
  });
}
