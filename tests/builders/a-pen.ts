import { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { RULES, type Rules } from "../../src/belt-test/scorebook/rules.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, EntryId, GradingId, PersonId } from "../../src/book/identity.ts";
import { vouchedEntryId } from "../../src/book/vouched-id.ts";

export const aGradingId = "grading-1" as GradingId;
let made = 0;

/** A UUID of version 7 that counts up: the same in every run of one file. */
export const anEntryId = (): EntryId => anIdOf(++made);

/** A UUID of version 7 for a number: it stands where a true one has its time and chance, which is kept when the id is made to vouch. */
export function anIdOf(number: number): EntryId {
  const digits = number.toString(16).padStart(12, "0");
  return `${digits.slice(0, 8)}-${digits.slice(8)}-7000-8000-000000000000` as EntryId;
}

/** An entry that a test has changed, under the id that it then has by rights. */
export function revouched<One extends AnyEntry>(entry: One): One {
  return { ...entry, id: vouchedEntryId(entry.id, entry) };
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
