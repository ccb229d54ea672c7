import { deviceOf } from "../../book/counts.ts";
import { DeviceCounts } from "../../book/device-counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type {
  CountId,
  DeviceId,
  GradingId,
  PersonId,
  SideRecordId,
  TextRef,
} from "../../book/identity.ts";
import { inOrder } from "../../book/in-order.ts";
import { orderedText } from "../../book/ordered-text.ts";
import { readEntry } from "../scorebook/entry.ts";
import { heldFirst } from "../scorebook/held-first.ts";
import { isForAnyone, isOutOfTurn } from "../scorebook/out-of-turn.ts";
import { fold, type Scorebook } from "../scorebook/scorebook.ts";
import type { ChiefsWord } from "./chiefs-word.ts";
import { refusalOfNew } from "./refusal-of-new.ts";
import { rolesInFile } from "./roles-in-file.ts";

/**
 * The devices that a file says are its person's, but for those on which the book has somebody else write, and those that a door knows to be somebody else's:
 * whoever's file comes first is not to take the places of another's count. Of a device whose lines the chief's device has it is known.
 */
export function ownDevices(
  book: Scorebook,
  person: PersonId,
  entries: readonly Pick<AnyEntry, "device" | "by">[],
  atDoor: readonly { device: DeviceId; person: PersonId | null }[] = [],
  word: Pick<ChiefsWord, "ownerOf"> | undefined = undefined,
): Set<DeviceId> {
  const others = new Set<DeviceId>();
  for (const row of atDoor) if (row.person && row.person !== person) others.add(row.device);
  for (const { device, by } of book.entries())
    if (by !== person && word?.ownerOf(deviceOf(device)) !== person) others.add(deviceOf(device));
  return new Set(
    entries.flatMap(({ device: count, by }) => {
      const device = deviceOf(count);
      const owner = word?.ownerOf(device) ?? person;
      return by === person && owner === person && !others.has(device) ? [device] : [];
    }),
  );
}

export interface Merged {
  /** What a book may take, in the order in which it was written. */
  taken: AnyEntry[];
  /** Lines not taken, with their place in the file and why. */
  refused: (Fault & { index: number })[];
  /** Those of them that the file's person wrote. */
  passedOver: AnyEntry[];
}

/**
 * What a chief's book may take from a scorebook file that came back: from each file only what its person may write, and what a hub would have taken
 * over the line.
 * @param person whose tablet the file came from; entries by others that the book does not hold already are refused.
 * @param refsOf the names and texts that an entry speaks of. @param hasSide whether one came along, or is here, and its seal fits.
 * The book itself is not changed: `taken` is stored first, then added.
 */
export function mergeable(
  book: Scorebook,
  file: { grading: GradingId; entries: readonly unknown[] },
  person: PersonId,
  sides: {
    refsOf: (entry: AnyEntry) => readonly TextRef[];
    hasSide: (id: SideRecordId, digest: string) => boolean;
  },
): Merged {
  const merged: Merged = { taken: [], refused: [], passedOver: [] };
  const readable: {
    entry: AnyEntry;
    index: number;
    device: CountId;
    n: number;
    lamport: number;
  }[] = [];
  for (const [index, json] of file.entries.entries()) {
    const read = readEntry(json);
    if (!read.ok) merged.refused.push({ index, code: "ENTRY_MALFORMED", with: whereIn(read) });
    else {
      const { entry } = read;
      readable.push({ entry, index, device: entry.device, n: entry.n, lamport: entry.lamport });
    }
  }
  const trial = fold(book.entries());
  const roles = rolesInFile(book, person);
  const own = ownDevices(
    book,
    person,
    readable.map(({ entry }) => entry),
  );
  const counts = new DeviceCounts(isOutOfTurn);
  const heardIn = (count: string) => counts.last(count as CountId);
  for (const entry of trial.entries()) counts.take(entry, true);
  const byEntry = new Map(readable.map((one) => [one.entry, one]));
  for (const entry of heldFirst(inOrder(readable).map((one) => one.entry))) {
    const { index } = byEntry.get(entry) as { index: number };
    const before = trial.entry(entry.id);
    if (before && orderedText(before) === orderedText(entry)) continue;
    const { device, n } = entry;
    const isInNeed = isForAnyone(entry);
    const lacks = refsMissing(trial, entry, sides);
    const fault: Fault | undefined = before
      ? { code: "ID_REUSED" }
      : entry.grading !== file.grading
        ? { code: "GRADING_OTHER" }
        : !own.has(deviceOf(device))
          ? { code: "NOT_YOURS" }
          : (counts.fault(entry, isInNeed) ??
            refusalOfNew(trial, { person, roles, isFromRoad: true, heardIn }, entry) ??
            (lacks && !isInNeed ? { code: "SIDE_RECORD_MISSING" } : undefined));
    // What was refused has been heard of all the same: what comes after it is not missing.
    if (own.has(deviceOf(device))) counts.hear(device, n);
    if (fault) {
      merged.refused.push({ index, ...fault });
      if (entry.by === person) merged.passedOver.push(entry);
    } else {
      trial.add(entry);
      counts.take(entry);
      merged.taken.push(entry);
    }
  }
  merged.refused.sort((a, b) => a.index - b.index);
  return merged;
}

const whereIn = ({ path, message }: { path: (string | number)[]; message: string }) => ({
  path: path.join("."),
  detail: message,
});

/** Whether words that an entry speaks of did not come; of whom is erased nothing comes any more. */
const refsMissing = (
  book: Scorebook,
  entry: AnyEntry,
  { refsOf, hasSide }: Parameters<typeof mergeable>[3],
): boolean => {
  const { candidate, person } = entry.body as { candidate?: string; person?: string };
  if (book.erased.has(candidate ?? "") || book.erased.has(person ?? "")) return false;
  return refsOf(entry).some(({ id, digest }) => !hasSide(id, digest));
};
