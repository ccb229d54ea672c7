import { onOneDevice } from "../../../belt-test/intake/one-device.ts";
import { type Merged, mergeable } from "../../../belt-test/intake/persons-file.ts";
import { type AnyEntry, isKnown } from "../../../belt-test/scorebook/entry.ts";
import { ScorebookFile } from "../../../belt-test/scorebook/scorebook-file.ts";
import type { SideRecord } from "../../../belt-test/scorebook/side-record.ts";
import type { PersonId } from "../../../book/identity.ts";
import { sideDigest } from "../../../line/make-side-record.ts";
import { refsIn } from "../../../line/refs-in.ts";
import { checkedSides } from "../../../line/side-check.ts";
import type { Notebook } from "../../session/notebook.ts";
import { readLines } from "../../session/unread-lines.ts";

/** A scorebook file that came back, and that says whose it is. */
export interface Returned {
  name: string;
  person: PersonId;
  lines: readonly unknown[];
  /** Those of `lines` that this app can read. */
  entries: readonly AnyEntry[];
  sides: readonly SideRecord[];
}
export type ReadReturned =
  | { ok: true; returned: Returned }
  | { ok: false; problem: "back-not-file" | "back-other" | "back-stranger" | "back-chief" };

export interface Takeable {
  taken: AnyEntry[];
  /** Records the taken entries point at, and whose seal fits. */
  sides: SideRecord[];
  refused: Merged["refused"];
  /** Of its person: it is remembered that they were passed over. */
  passedOver: AnyEntry[];
}

/** @param name what the file is called */
export function readReturned({ book, pass }: Notebook, name: string, text: string): ReadReturned {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { ok: false, problem: "back-not-file" };
  }
  const read = ScorebookFile.safeParse(json);
  if (!read.success) return { ok: false, problem: "back-not-file" };
  const { grading, person, entries: lines, sides } = read.data;
  if (grading !== pass.grading) return { ok: false, problem: "back-other" };
  const seat = person && book.plan.seat(person);
  if (!seat) return { ok: false, problem: "back-stranger" };
  // Whoever holds the pack knows a chief's id, and nothing here tells who wrote a file.
  if (person === pass.person || seat.roles.includes("chief"))
    return { ok: false, problem: "back-chief" };
  const { entries } = readLines(lines);
  return { ok: true, returned: { name, person, lines, entries, sides } };
}

/** What the chief's book, as it stands now, may take from one file. Nothing is stored yet. */
export function takeable(
  { book, pass, sides: here }: Notebook,
  { person, lines, entries, sides }: Returned,
): Takeable {
  const known = [...book.entries(), ...entries.filter(({ by }) => by === person)];
  const { shown } = checkedSides(known, [...here.values(), ...sides]);
  const came = new Map(shown.map((record) => [record.id, sideDigest(record)]));
  const file = { grading: pass.grading, entries: lines };
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

/** Stores first, then shows: on the disk before it is in the book. */
export async function takeReturned(
  notebook: Notebook,
  { taken, sides, passedOver = [] }: Pick<Takeable, "taken" | "sides"> & Partial<Takeable>,
): Promise<void> {
  await notebook.passesOver(passedOver, taken);
  if (taken.length === 0) return;
  if (notebook.pass.token) await notebook.takesFromFiles(taken);
  await notebook.store.append(notebook.pass.grading, taken, sides);
  notebook.take(taken, sides);
}
