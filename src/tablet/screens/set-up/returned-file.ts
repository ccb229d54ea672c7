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

export interface Returned {
  file: string;
  person: PersonId;
  taken: AnyEntry[];
  /** Records the taken entries point at, and whose seal fits. */
  sides: SideRecord[];
  refused: Merged["refused"];
}
export type ReadReturned =
  | { ok: true; returned: Returned }
  | { ok: false; problem: "back-not-file" | "back-other" | "back-stranger" | "back-chief" };

/** What the chief's book may take from a scorebook file that came back. Nothing is stored yet. */
export function readReturned(notebook: Notebook, file: string, text: string): ReadReturned {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { ok: false, problem: "back-not-file" };
  }
  const read = ScorebookFile.safeParse(json);
  if (!read.success) return { ok: false, problem: "back-not-file" };
  const { grading, person, entries, sides } = read.data;
  if (grading !== notebook.pass.grading) return { ok: false, problem: "back-other" };
  if (!person || !notebook.book.plan.seat(person)) return { ok: false, problem: "back-stranger" };
  // Whoever holds the pack knows a chief's id, and nothing here tells who wrote a file.
  if (person === notebook.pass.person || notebook.book.plan.seat(person)?.roles.includes("chief"))
    return { ok: false, problem: "back-chief" };
  const known = [
    ...notebook.book.entries(),
    ...readLines(entries).entries.filter(({ by }) => by === person),
  ];
  const { shown } = checkedSides(known, [...notebook.sides.values(), ...sides]);
  const came = new Map(shown.map((record) => [record.id, sideDigest(record)]));
  const { taken, refused } = mergeable(notebook.book, { grading, entries }, person, {
    refsOf: (entry) => (isKnown(entry) ? refsIn(entry) : []),
    hasSide: (id, digest) => came.get(id) === digest,
  });
  const wanted = new Map(
    taken.flatMap((entry) => refsIn(entry).map(({ id, digest }) => [id, digest] as const)),
  );
  return {
    ok: true,
    returned: {
      file,
      person,
      taken,
      sides: sides.filter(
        (record) =>
          wanted.get(record.id) === sideDigest(record) &&
          came.get(record.id) === sideDigest(record),
      ),
      refused,
    },
  };
}

/** Stores first, then shows: on the disk before it is in the book. */
export async function takeReturned(notebook: Notebook, { taken, sides }: Returned): Promise<void> {
  await notebook.store.append(notebook.pass.grading, taken, sides);
  notebook.take(taken, sides);
}
