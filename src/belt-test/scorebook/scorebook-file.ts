import * as z from "zod/mini";
import type { AnyEntry } from "../../book/entry.ts";
import { DeviceId, EntryId, GradingId, PersonId } from "../../book/identity.ts";
import { PassedOver } from "../../book/passed-over.ts";
import { SideRecord } from "../../book/side-record.ts";
import { SignedHead } from "../../book/signed-head.ts";

/** In one file. */
export const MOST_HEADS = 64;

const hex = (figures: number) => z.string().check(z.regex(new RegExp(`^[0-9a-f]{${figures}}$`)));

/** One link of a hub's chain: which entry stands there, the salt of its digest, and the link after it. */
export const ChainLink = z.strictObject({ id: EntryId, salt: hex(32), link: hex(64) });
export type ChainLink = z.infer<typeof ChainLink>;

/**
 * A scorebook on its way as a file: what one device holds of a grading, or a hub's whole copy.
 * Entries are read one by one with `readEntry`, so that one bad line never hides the others.
 */
export const ScorebookFile = z.strictObject({
  format: z.literal("evenhand-scorebook"),
  version: z.literal(1),
  grading: GradingId,
  /** Whose device wrote it; absent in a hub's copy. */
  person: z.optional(PersonId),
  entries: z.array(z.unknown()),
  sides: z.array(SideRecord),
  /** A chief's device: what it did not take of the files that it took. */
  passedOver: z.optional(PassedOver),
  /** A chief's device whose hub was away: what it wrote after this logical time it wrote by the files that it had taken. */
  filesSince: z.optional(z.int().check(z.nonnegative())),
  /** Where a hub's chain stood: as it told the device, or as it stands in a hub's copy. */
  heads: z.optional(z.array(SignedHead).check(z.maxLength(MOST_HEADS))),
  /** A hub's copy: its chain from the first entry to the head, by which anybody can follow it with the entries alone. */
  chain: z.optional(z.array(ChainLink)),
  /** Of the device that wrote it, for the hub that let it in; see file-seal.ts. */
  seal: z.optional(z.strictObject({ device: DeviceId, mac: hex(64) })),
});
export type ScorebookFile = z.infer<typeof ScorebookFile>;

interface Beside {
  passedOver?: PassedOver | undefined;
  filesSince?: number | undefined;
  /** What tells a file apart from one that was changed on its way. */
  heads?: readonly SignedHead[] | undefined;
  chain?: readonly ChainLink[];
}

/** A scorebook as a file: entries of every device by its own count, so that the same book always gives the same file. */
export function scorebookFile(
  grading: GradingId,
  entries: Iterable<AnyEntry>,
  sides: Iterable<SideRecord>,
  person?: PersonId,
  { passedOver = [], filesSince, heads = [], chain = [] }: Beside = {},
): ScorebookFile {
  const device = ({ device }: AnyEntry) => device;
  return {
    format: "evenhand-scorebook",
    version: 1,
    grading,
    ...(person === undefined ? {} : { person }),
    entries: [...entries].sort((a, b) =>
      device(a) === device(b) ? a.n - b.n : device(a) < device(b) ? -1 : 1,
    ),
    sides: [...sides].sort((a, b) => (a.id < b.id ? -1 : 1)),
    ...(passedOver.length > 0 ? { passedOver } : {}),
    ...(filesSince === undefined ? {} : { filesSince }),
    ...(heads.length > 0 ? { heads: [...heads] } : {}),
    ...(chain.length > 0 ? { chain: [...chain] } : {}),
  };
}
