import { openerIn } from "../../../belt-test/intake/chiefs-word.ts";
import { onOneDevice } from "../../../belt-test/intake/one-device.ts";
import { type Merged, mergeable } from "../../../belt-test/intake/persons-file.ts";
import { pathText } from "../../../belt-test/rubric/finding.ts";
import { isKnown } from "../../../belt-test/scorebook/entry.ts";
import { readScorebookFile } from "../../../belt-test/scorebook/read-scorebook-file.ts";
import type { AnyEntry } from "../../../book/entry.ts";
import type { PersonId } from "../../../book/identity.ts";
import { withPassedOver } from "../../../book/passed-over.ts";
import type { SideRecord } from "../../../book/side-record.ts";
import { sideDigest } from "../../../line/make-side-record.ts";
import { refsIn } from "../../../line/refs-in.ts";
import { checkedSides } from "../../../line/test-side-check.ts";
import { takesFromFiles } from "../../session/from-files.ts";
import type { Notebook } from "../../session/notebook.ts";

/** A scorebook file that came back, and that says whose it is. */
export interface Returned {
  name: string;
  person: PersonId;
  entries: readonly AnyEntry[];
  sides: readonly SideRecord[];
}
export type ReadReturned =
  | { ok: true; returned: Returned }
  | { ok: false; problem: "back-not-file" | "back-other" | "back-stranger" | "back-chief" }
  /** Read by the same reader as in a hub's store: what is taken nowhere else stands on no device either. */
  | { ok: false; problem: "back-unsound"; path: string };

export interface Takeable {
  taken: AnyEntry[];
  /** Records the taken entries point at, and whose seal fits. */
  sides: SideRecord[];
  refused: Merged["refused"];
  /** Of its person: it is remembered that they were passed over. */
  passedOver: AnyEntry[];
}

/**
 * @param name what the file is called
 * @param bytes  as it lies on the disk: letters that are none are not put in the place of those that were
 */
export function readReturned(
  { book, pass }: Notebook,
  name: string,
  bytes: Uint8Array,
): ReadReturned {
  let json: unknown;
  try {
    json = JSON.parse(new TextDecoder("utf-8", { fatal: true }).decode(bytes));
  } catch {
    return { ok: false, problem: "back-not-file" };
  }
  const read = readScorebookFile(json);
  if (!read.ok)
    return read.problem === "not-a-scorebook"
      ? { ok: false, problem: "back-not-file" }
      : { ok: false, problem: "back-unsound", path: pathText(read.path) };
  const { grading, person, entries, sides } = read.file;
  if (grading !== pass.grading) return { ok: false, problem: "back-other" };
  const seat = person && book.plan.seat(person);
  if (!seat) return { ok: false, problem: "back-stranger" };
  // Whoever holds the pack knows a chief's id, and nothing here tells who wrote a file.
  const isChiefs =
    person === pass.person || seat.roles.includes("chief") || openerIn(entries) === person;
  return isChiefs
    ? { ok: false, problem: "back-chief" }
    : { ok: true, returned: { name, person, entries, sides } };
}

/** What the chief's book, as it stands now, may take from one file. Nothing is stored yet. */
export function takeable(
  { book, pass, sides: here }: Notebook,
  { person, entries, sides }: Returned,
): Takeable {
  const known = [...book.entries(), ...entries.filter(({ by }) => by === person)];
  const { shown } = checkedSides(known, [...here.values(), ...sides]);
  const came = new Map(shown.map((record) => [record.id, sideDigest(record)]));
  const file = { grading: pass.grading, entries };
  const { taken, refused, passedOver } = mergeable(book, file, person, {
    refsOf: (entry) => (isKnown(entry) ? refsIn(entry) : []),
    hasSide: (id, digest) => came.get(id) === digest,
  });
  const wanted = new Map(
    taken.flatMap((entry) => refsIn(entry).map(({ id, digest }) => [id, digest] as const)),
  );
  return {
    taken,
    sides: sides.filter(
      (record) =>
        wanted.get(record.id) === sideDigest(record) && came.get(record.id) === sideDigest(record),
    ),
    ...{ refused, passedOver },
  };
}

/** Another file of these, in which somebody else wrote on the same tablet: of the two one is not as its tablet saved it. */
export function rivalOf(
  { book }: Notebook,
  files: readonly Returned[],
  one: Returned,
): Returned | undefined {
  const clash = onOneDevice(book, files).find(({ file, other }) => file === one || other === one);
  return clash && (clash.file === one ? clash.other : clash.file);
}

/** What of a file is not taken; of what was not taken of another, this is by now. */
const passesOver = (
  notebook: Notebook,
  passed: readonly AnyEntry[],
  taken: readonly AnyEntry[],
): Promise<void> =>
  notebook.notes(({ passedOver: before = [], ...pass }) => {
    const passedOver = withPassedOver(before, passed, taken);
    return { ...pass, ...(passedOver.length > 0 && { passedOver }) };
  });

/** Stores first, then shows: on the disk before it is in the book. */
export async function takeReturned(
  notebook: Notebook,
  { taken, sides, passedOver = [] }: Pick<Takeable, "taken" | "sides"> & Partial<Takeable>,
): Promise<void> {
  await passesOver(notebook, passedOver, taken);
  if (taken.length === 0) return;
  if (notebook.pass.token) await takesFromFiles(notebook, taken);
  await notebook.store.append(notebook.pass.grading, taken, sides);
  notebook.take(taken, sides);
}
