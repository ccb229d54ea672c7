import * as z from "zod/mini";
import { CountId, EntryId, GradingId, PersonId } from "./identity.ts";

/** The last moment that a date can be made of (ECMA-262, time values): one beyond it would break whatever shows it. */
const LAST_MOMENT_MS = 8.64e15;

/** What stands around every entry, whatever it says. */
export const Envelope = z.looseObject({
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
  kind: z.string().check(z.regex(/^[a-z][a-z-]{0,39}$/)),
  body: z.looseObject({}),
});

/** An entry of any book and any year: kept and passed on by whoever does not know its kind, and never read by them. */
export type AnyEntry = Pick<
  z.infer<typeof Envelope>,
  "id" | "grading" | "by" | "device" | "n" | "lamport" | "at" | "replaces" | "kind" | "body"
>;

/** The same of one kind that is known. */
export type EntryOfKind<Kind extends string, Body> = Omit<AnyEntry, "kind" | "body"> & {
  kind: Kind;
  body: Body;
};

export type ReadEntry<Entry extends AnyEntry = AnyEntry> =
  | { ok: true; entry: Entry }
  | { ok: false; path: (string | number)[]; message: string };
