import type { AnyEntry } from "../../book/entry.ts";
import type { EntryId, TextRef } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import { isOfVouchingForm, vouchedSideId } from "../../book/vouched-id.ts";
import { isKnown } from "./entry.ts";

/** What is known of the test around an entry: who has a seat, and what stands under an id. */
export interface AroundEntry {
  isSeated(person: string): boolean;
  entry(id: EntryId): AnyEntry | undefined;
}

/**
 * Why a side record is not the one that an entry refers to.
 * `digest`: it does not say what it said when it was written. `kind`: a name in the place of a text, or the other way round.
 * `about`: it is filed under somebody whom the entry does not speak of, so that erasing that somebody would take another's words,
 * and erasing whom it speaks of would leave them.
 */
export type SideFault = "digest" | "kind" | "about";

/** Which kind of record each kind of entry refers to; everything else refers to a text. */
const kindOf: Readonly<Record<string, SideRecord["kind"]>> = {
  "seated.details": "person",
  "entered.details": "candidate",
  "entered.given": "candidate",
  "unfit.details": "health",
};

/**
 * Whether a side record is what an entry refers to, in what it says, of which kind it is, and about whom.
 *
 * @param digest  of the record, as it is now: SHA-256, hex, of salt and canonical body.
 * @returns null where it is. Of an entry of another year's kind only the digest is asked.
 */
export function sideFault(
  entry: AnyEntry,
  ref: TextRef,
  record: Pick<SideRecord, "grading" | "about" | "kind"> & { digest: string },
  around: AroundEntry,
): SideFault | null {
  if (record.digest !== ref.digest || record.grading !== entry.grading) return "digest";
  // Another record under an id that is not its own would keep the true one out.
  const isOwn = !isOfVouchingForm(ref.id) || ref.id === vouchedSideId(record);
  if (!isKnown(entry)) return isOwn ? null : "digest";
  const [key] = Object.entries(entry.body).find(([, value]) => isRefTo(value, ref)) ?? [""];
  if (record.kind !== (kindOf[`${entry.kind}.${key}`] ?? "text")) return "kind";
  if (!isConcerned(entry, record.about, around)) return "about";
  return isOwn ? null : "digest";
}

/** Whether an entry speaks of somebody, so that its names and texts may be filed under them. */
function isConcerned(entry: AnyEntry, about: string, around: AroundEntry): boolean {
  if (!isKnown(entry)) return false;
  switch (entry.kind) {
    case "seated":
      return entry.body.person === about;
    case "incident":
      return (entry.body.candidate ?? entry.by) === about;
    case "closed":
    case "rubric-replaced":
      return entry.by === about;
    case "revealed":
      // The reason is a judge's tablet; which judge, the entry need not say.
      return (
        entry.by === about ||
        entry.body.candidates.some((candidate) => candidate === about) ||
        around.isSeated(about)
      );
    case "correction": {
      const of = around.entry(entry.body.of);
      const isOf = of && of.kind !== "correction" && isConcerned(of, about, around);
      return entry.by === about || isOf === true;
    }
    default:
      return "candidate" in entry.body && entry.body.candidate === about;
  }
}

/** Everybody an entry names, its writer too: of whom is erased, nobody is told that words are missing. */
export function namedBy({ by, body }: AnyEntry): string[] {
  const { candidate, candidates, person, judge } = body as Record<string, unknown>;
  const several = Array.isArray(candidates) ? candidates : [];
  return [by, candidate, ...several, person, judge].filter((one) => typeof one === "string");
}

const isRefTo = (value: unknown, ref: TextRef): boolean =>
  typeof value === "object" &&
  value !== null &&
  "id" in value &&
  value.id === ref.id &&
  "digest" in value &&
  value.digest === ref.digest;
