import * as z from "zod/mini";

/** Called “constructor”, an id would find something in every table that has no such row. */
export const notInherited = z.refine((id) => !(String(id) in Object.prototype));
/**
 * Who and what a book speaks of. Branded, so that a device's id never fits where a person's belongs. Those of a belt test are in belt-test/identity.ts.
 */
export const opaqueId = z.string().check(z.regex(/^[A-Za-z0-9][A-Za-z0-9_-]{0,63}$/), notInherited);

export const GradingId = opaqueId.brand<"grading">();
export type GradingId = z.infer<typeof GradingId>;
export const PersonId = opaqueId.brand<"person">();
export type PersonId = z.infer<typeof PersonId>;
export const DeviceId = opaqueId.brand<"count">().brand<"device">();
export type DeviceId = z.infer<typeof DeviceId>;
/** One of a device's counts: its own, or one for a child's section, which bears the device's name and a mark of the place; see counts.ts. */
export const CountId = z
  .string()
  .check(z.regex(/^[A-Za-z0-9][A-Za-z0-9_-]{0,63}(\.[0-9a-f]{8})?$/), notInherited)
  .brand<"count">();
export type CountId = z.infer<typeof CountId>;
/** UUID (RFC 9562), unique without asking anybody, and roughly ordered by time: of version 8, which vouches for where the entry stands (vouched-id.ts); of 7 in books of before. */
export const EntryId = z
  .string()
  .check(z.regex(/^[0-9a-f]{8}-[0-9a-f]{4}-[78][0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}$/))
  .brand<"entry">();
export type EntryId = z.infer<typeof EntryId>;
export const SideRecordId = opaqueId.brand<"side">();
export type SideRecordId = z.infer<typeof SideRecordId>;

/** Words that name or describe a person are kept outside the entries, so that they can be erased: see side-record.ts. */
export const TextRef = z.looseObject({
  id: SideRecordId,
  digest: z.string().check(z.regex(/^[0-9a-f]{64}$/)),
});
export type TextRef = z.infer<typeof TextRef>;
