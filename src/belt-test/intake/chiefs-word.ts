import { deviceOf } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { DeviceId, EntryId, PersonId } from "../../book/identity.ts";
import { byAge } from "../../book/order.ts";
import { orderedText } from "../../book/ordered-text.ts";
import { isAmong, type PassedOver } from "../../book/passed-over.ts";
import { isForAnyone } from "../scorebook/out-of-turn.ts";
import { fold } from "../scorebook/scorebook.ts";
import { isIn } from "../scorebook/seal.ts";

/** Without a hub the device of the chief who opened the test is where all files come together: what it took, and what not, stands wherever they go later. */
export interface ChiefsWord {
  /** Who the file says opened the test. Anybody may write that: it counts where no book, and no other file, says otherwise. */
  person: PersonId;
  /** It took this line, as it is. */
  took(entry: AnyEntry): boolean;
  /** Whose lines it has of this device; undefined where it has none but what anybody may write at any moment. */
  ownerOf(device: DeviceId): PersonId | undefined;
  /**
   * It says that it passed the line over, or has another under its id, or had what came after it in its count and not the line. What anybody may write at any
   * moment it always takes but where it says so.
   */
  didNotTake(entry: AnyEntry): boolean;
}

/** Whose word a test begins with; another chief may have given it another title since. */
export const openerIn = (entries: Iterable<AnyEntry>): PersonId | undefined =>
  [...entries].filter(({ kind }) => kind === "opened").sort(byAge)[0]?.by;

/** @returns undefined for the file of anybody else */
export function chiefsWord({
  person,
  entries,
  passedOver = [],
}: {
  person?: PersonId | undefined;
  entries: readonly AnyEntry[];
  passedOver?: PassedOver | undefined;
}): ChiefsWord | undefined {
  if (person === undefined || openerIn(entries) !== person) return undefined;
  const texts = new Map<EntryId, string>(entries.map((entry) => [entry.id, orderedText(entry)]));
  const took = (entry: AnyEntry): boolean => texts.get(entry.id) === orderedText(entry);
  const { basis } = fold(entries);
  const isPassedOver = isAmong(passedOver);
  const owners = new Map<DeviceId, PersonId>();
  for (const entry of entries)
    if (!isForAnyone(entry)) owners.set(deviceOf(entry.device), entry.by);
  return {
    person,
    took,
    ownerOf: (device) => owners.get(device),
    didNotTake: (entry) =>
      !took(entry) &&
      (isPassedOver(entry) || texts.has(entry.id) || (isIn(basis, entry) && !isForAnyone(entry))),
  };
}

/** The same, and nothing besides yet: what that device has not heard of is judged by all that it has. */
export const firstOf = (word: ChiefsWord): ChiefsWord => ({
  ...word,
  didNotTake: (entry) => word.didNotTake(entry) || (!word.took(entry) && !isForAnyone(entry)),
});
