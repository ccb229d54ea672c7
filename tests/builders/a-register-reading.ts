import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import type { OwnPartFirst, Readers, Sight, ViewerAs } from "../../src/book/readers.ts";
import type { StoredEntry } from "../../src/book/stored-entry.ts";
import { Register, register } from "./a-register.ts";

export type Post = "office" | "instructor";
type Month = string;

/**
 * What readers of the register are sent. The office: all, an instructor's word once the month is over. An instructor: who joined, where somebody attended once
 * the instructor has seen them too, and others' words of a month that is over once they have said theirs.
 */
export const registerReaders: Readers<Register, Post, Month, PersonId> = {
  emptyBook: () => new Register(),
  sight,
  waitsOf: monthOf,
  mayOpen: register.kindsThatAre("may-open"),
  openness: ({ monthsOver }) => ({ isOpen: (month) => monthsOver.has(month) }),
  seatedBy: (viewer, entry) =>
    register.isKnown(entry) && entry.kind === "teaches" && entry.body.person === viewer.person
      ? { ...viewer, roles: ["instructor"] }
      : undefined,
  afterOwn: ({ person, roles }) =>
    roles.includes("office") ? undefined : new AfterOwn(person, monthOf),
  ownFirst: ({ person }) => new AfterOwn(person, personAttending),
};

function sight(viewer: ViewerAs<Post>, entry: AnyEntry): Sight<Month, PersonId> {
  if (entry.by === viewer.person) return "now";
  if (!register.isKnown(entry)) return "never";
  if (entry.kind === "judged") return { waits: entry.body.month };
  const isOffice = viewer.roles.includes("office");
  return entry.kind === "attended" && !isOffice ? { ownFirst: entry.body.person } : "now";
}

function monthOf(entry: AnyEntry): Month | undefined {
  return register.isKnown(entry) && entry.kind === "judged" ? entry.body.month : undefined;
}
function personAttending(entry: AnyEntry): PersonId | undefined {
  return register.isKnown(entry) && entry.kind === "attended" ? entry.body.person : undefined;
}

/** Lines of others, until somebody has written of the same. */
class AfterOwn<Of extends string> implements OwnPartFirst<Of> {
  readonly #person: PersonId;
  readonly #ofWhich: (entry: AnyEntry) => Of | undefined;
  readonly #own = new Set<Of>();
  #waiting: { stored: StoredEntry; of: Of }[] = [];

  constructor(person: PersonId, ofWhich: (entry: AnyEntry) => Of | undefined) {
    this.#person = person;
    this.#ofWhich = ofWhich;
  }
  close(stored: StoredEntry, of: Of): void {
    this.#waiting.push({ stored, of });
  }
  open({ entry }: StoredEntry): StoredEntry[] {
    const of = this.#ofWhich(entry);
    if (of !== undefined && entry.by === this.#person) this.#own.add(of);
    const all = this.#waiting;
    this.#waiting = all.filter((one) => !this.#own.has(one.of));
    return all.filter((one) => this.#own.has(one.of)).map(({ stored }) => stored);
  }
}
