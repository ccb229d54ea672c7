import type { AnyEntry } from "../../book/entry.ts";
import type { TextRef } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { AroundEntry, FiledSide, SideFault } from "../../book/side-rules.ts";
import { isOfVouchingForm, vouchedSideId } from "../../book/vouched-id.ts";
import { isKnown } from "./entry.ts";

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
 * @returns null where it is. Of an entry of another year's kind only the digest is asked.
 */
export function sideFault(
  entry: AnyEntry,
  ref: TextRef,
  record: FiledSide,
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

const isRefTo = (value: unknown, ref: TextRef): boolean =>
  typeof value === "object" &&
  value !== null &&
  "id" in value &&
  value.id === ref.id &&
  "digest" in value &&
  value.digest === ref.digest;
