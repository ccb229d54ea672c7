import type * as z from "zod/mini";
import { type AnyEntry, type EntryOfKind, Envelope, type ReadEntry } from "./entry.ts";
import { isPlainJson } from "./plain-json.ts";

/** What a book needs to know of each kind of its entries. */
interface Row {
  body: z.ZodMiniType<Record<string, unknown>>;
  /** What is so of it. `read-otherwise`: what is read may be more than what was written, a default filled in or a word of another year told as the nearest one known. */
  is: readonly string[];
}
type Rows = Readonly<Record<string, Row>>;

export type EntryIn<All extends Rows> = {
  [Kind in keyof All & string]: EntryOfKind<Kind, z.infer<All[Kind]["body"]>>;
}[keyof All & string];

/** What each kind of a book says. */
export type BodiesIn<All extends Rows> = {
  [Kind in keyof All & string]: z.infer<All[Kind]["body"]>;
};

/** The kinds of entries that one book speaks in, a row a kind: the belt test's, and whatever book comes beside it. */
export function vocabularyOf<All extends Rows>(rows: All) {
  type Kind = keyof All & string;
  type Entry = EntryIn<All>;
  const kinds = Object.keys(rows) as Kind[];
  const isKind = (kind: string): kind is Kind => Object.hasOwn(rows, kind);
  /** The kinds of which something is so; a kind of another year is none. */
  const kindsThatAre = (trait: All[Kind]["is"][number]): ReadonlySet<string> =>
    new Set(kinds.filter((kind) => rows[kind]?.is.includes(trait)));
  const isKnown = (entry: AnyEntry): entry is Entry => isKind(entry.kind);

  /**
   * Reads one entry from outside. Known kinds are checked whole; unknown kinds keep their body untouched.
   * Never throws: bad input is an answer, with the path to the fault.
   */
  function readEntry(json: unknown): ReadEntry {
    if (!isPlainJson(json))
      return {
        ok: false,
        path: [],
        message: "nested too deeply, or with a number or letter that cannot be written down",
      };
    const outer = Envelope.safeParse(json);
    if (!outer.success) return firstIssue(outer.error, []);
    const body = bodyOf(outer.data);
    return !body || body.success
      ? { ok: true, entry: outer.data }
      : firstIssue(body.error, ["body"]);
  }

  const readOtherwise = kindsThatAre("read-otherwise");
  const asReadOnce = new WeakMap<object, Entry>();

  /** An entry as it is to be understood. What was written stays what is stored, chained and sent on. */
  function asRead(entry: Entry): Entry {
    if (!readOtherwise.has(entry.kind)) return entry;
    let read = asReadOnce.get(entry);
    if (!read) {
      const body = bodyOf(entry);
      read = body?.success ? { ...entry, body: body.data } : entry;
      asReadOnce.set(entry, read);
    }
    return read;
  }

  const bodyOf = ({ kind, body }: AnyEntry) =>
    isKind(kind) ? rows[kind]?.body.safeParse(body) : undefined;

  return { kinds, isKind, kindsThatAre, isKnown, readEntry, asRead };
}

function firstIssue(
  error: z.core.$ZodError,
  prefix: (string | number)[],
): ReadEntry & { ok: false } {
  const [issue] = error.issues;
  return {
    ok: false,
    path: [...prefix, ...((issue?.path ?? []) as (string | number)[])],
    message: issue?.message ?? "not readable",
  };
}
