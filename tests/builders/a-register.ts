import * as z from "zod/mini";
import type { AnyBook } from "../../src/book/any-book.ts";
import { countOfPlace, markOfPlace } from "../../src/book/counts.ts";
import { Entries } from "../../src/book/entries.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import { opaqueId, PersonId, TextRef } from "../../src/book/identity.ts";
import type { PenRules } from "../../src/book/pen.ts";
import { type BodiesIn, vocabularyOf } from "../../src/book/vocabulary.ts";

/** The kinds of a small invented book, as a school might keep one: nothing in it is of a belt test. */
const rows = {
  joined: {
    body: z.looseObject({ person: PersonId, called: z.optional(TextRef) }),
    is: ["at-any-time"],
  },
  attended: {
    body: z.looseObject({
      person: PersonId,
      lessons: z.int().check(z.gte(1)),
      hall: z._default(z.string(), "the hall"),
    }),
    is: ["read-otherwise"],
  },
  /** An instructor's own word, which the office is sent once the month is over. */
  judged: { body: z.looseObject({ person: PersonId, month: z.string() }), is: [] },
  "month-over": { body: z.looseObject({ month: z.string() }), is: ["may-open"] },
  /** Somebody of the office who teaches too. */
  teaches: { body: z.looseObject({ person: PersonId }), is: [] },
  erased: { body: z.looseObject({ about: opaqueId }), is: [] },
} as const;

export const register = vocabularyOf(rows);
export type RegisterBodies = BodiesIn<typeof rows>;

/** Lessons are counted by person, an instructor's word ticks for nobody, and the end of a month says how many lines came before it. */
export const registerPen: PenRules = {
  isTimed: (kind) => kind !== "judged",
  countFor: (device, kind, body) =>
    kind === "attended" && "person" in body
      ? countOfPlace(device, markOfPlace(String(body.person)))
      : device,
  isVouched: () => true,
  placed: (kind, body, { n }) => (kind === "month-over" ? { ...body, after: n - 1 } : body),
};

/** The register, folded: lessons by person, which months are over, and who is forgotten. */
export class Register implements AnyBook {
  readonly #entries = new Entries<AnyEntry>(() => true);
  readonly lessons = new Map<PersonId, number>();
  readonly monthsOver = new Set<string>();
  readonly erased = new Set<string>();

  add(entry: AnyEntry): boolean {
    if (!this.#entries.add(entry)) return false;
    if (!register.isKnown(entry)) return true;
    const read = register.asRead(entry);
    if (read.kind === "attended") {
      const { person, lessons } = read.body;
      this.lessons.set(person, (this.lessons.get(person) ?? 0) + lessons);
    }
    if (read.kind === "month-over") this.monthsOver.add(read.body.month);
    if (read.kind === "erased") this.erased.add(read.body.about);
    return true;
  }
  entry(id: AnyEntry["id"]): AnyEntry | undefined {
    return this.#entries.get(id);
  }
  entries(): IterableIterator<AnyEntry> {
    return this.#entries.all();
  }
  get size(): number {
    return this.#entries.size;
  }
  get lamport(): number {
    return this.#entries.lamport;
  }
}
