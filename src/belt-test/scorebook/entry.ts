import * as z from "zod/mini";
import { CountId, EntryId, GradingId, PersonId } from "../../book/identity.ts";
import { isPlainJson } from "../../book/plain-json.ts";
import { allKinds, type EntryKind, isEntryKind, kindsThatAre } from "../kinds/all-kinds.ts";

export type EntryBody<Kind extends EntryKind> = z.infer<(typeof allKinds)[Kind]["body"]>;

/** The last moment that a date can be made of (ECMA-262, time values): one beyond it would break whatever shows it. */
const LAST_MOMENT_MS = 8.64e15;

const envelope = {
  id: EntryId,
  grading: GradingId,
  by: PersonId,
  /** In which count of the device that wrote it this stands. */
  device: CountId,
  /** 1, 2, 3 … in each count, no gaps. */
  n: z.int().check(z.gte(1)),
  /** Logical time (Lamport 1978, doi:10.1145/359545.359563): above everything this device had seen when it wrote. */
  lamport: z.int().check(z.gte(1), z.lte(2 ** 48)),
  /** Wall clock, milliseconds since 1970; for people, never for order. */
  at: z.int().check(z.gte(0), z.lte(LAST_MOMENT_MS)),
  /** Entries this one knowingly takes the place of. */
  replaces: z.optional(z.array(EntryId).check(z.maxLength(400))),
};

const Envelope = z.looseObject({
  ...envelope,
  kind: z.string().check(z.regex(/^[a-z][a-z-]{0,39}$/)),
  body: z.looseObject({}),
});

/** An entry of a kind this version knows. */
export type Entry = {
  [Kind in EntryKind]: Written & { kind: Kind; body: EntryBody<Kind> };
}[EntryKind];
type Written = Pick<z.infer<typeof Envelope>, keyof typeof envelope>;
export type EntryOf<Kind extends EntryKind> = Extract<Entry, { kind: Kind }>;

/** An entry of a kind from another year: kept and passed on, never read. */
type UnknownEntry = Omit<Entry, "kind" | "body"> & {
  kind: string;
  body: Record<string, unknown>;
};
export type AnyEntry = Entry | UnknownEntry;

export type ReadEntry =
  | { ok: true; entry: AnyEntry }
  | { ok: false; path: (string | number)[]; message: string };

/**
 * Reads one entry from outside. Known kinds are checked whole; unknown kinds keep their body untouched.
 * Never throws: bad input is an answer, with the path to the fault.
 */
export function readEntry(json: unknown): ReadEntry {
  if (!isPlainJson(json))
    return {
      ok: false,
      path: [],
      message: "nested too deeply, or with a number or letter that cannot be written down",
    };
  const outer = Envelope.safeParse(json);
  if (!outer.success) return firstIssue(outer.error, []);
  const schema = isEntryKind(outer.data.kind) ? allKinds[outer.data.kind].body : undefined;
  if (!schema) return { ok: true, entry: outer.data as UnknownEntry };
  const body = schema.safeParse(outer.data.body);
  if (!body.success) return firstIssue(body.error, ["body"]);
  return { ok: true, entry: outer.data as unknown as Entry };
}

const readOtherwise = kindsThatAre("read-otherwise");
const asReadOnce = new WeakMap<object, Entry>();

/** An entry as it is to be understood. What was written stays what is stored, chained and sent on. */
export function asRead(entry: Entry): Entry {
  if (!readOtherwise.has(entry.kind)) return entry;
  let read = asReadOnce.get(entry);
  if (!read) {
    const body = allKinds[entry.kind].body.safeParse(entry.body);
    read = body.success ? ({ ...entry, body: body.data } as Entry) : entry;
    asReadOnce.set(entry, read);
  }
  return read;
}

function firstIssue(error: z.core.$ZodError, prefix: (string | number)[]): ReadEntry {
  const [issue] = error.issues;
  return {
    ok: false,
    path: [...prefix, ...((issue?.path ?? []) as (string | number)[])],
    message: issue?.message ?? "not readable",
  };
}

export function isKnown(entry: AnyEntry): entry is Entry {
  return isEntryKind(entry.kind);
}
