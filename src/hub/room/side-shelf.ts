import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { GradingId, SideRecordId, TextRef } from "../../book/identity.ts";
import { type SideRecord, sizeFaultOfSide } from "../../book/side-record.ts";
import type { AroundEntry, SideRules } from "../../book/side-rules.ts";
import { isOfVouchingForm } from "../../book/vouched-id.ts";
import { sideDigest } from "../../line/make-side-record.ts";
import { isUnsound, SideCheck } from "../../line/side-check.ts";

/** The names and texts of an open book. One that is not what its entry refers to is kept and shown to nobody. */
export class SideShelf {
  readonly #records = new Map<SideRecordId, SideRecord>();
  readonly #rules: SideRules;
  readonly #check: SideCheck;

  constructor(rules: SideRules) {
    this.#rules = rules;
    this.#check = new SideCheck(rules);
  }

  note(entry: AnyEntry): void {
    this.#check.note(entry);
  }
  take(record: SideRecord): void {
    this.#records.set(record.id, record);
    this.#check.take(record);
  }
  /** What is on the disk, right or wrong. */
  held(id: SideRecordId): SideRecord | undefined {
    return this.#records.get(id);
  }
  shown(id: SideRecordId): SideRecord | undefined {
    return this.#check.isTrue(id) ? this.#records.get(id) : undefined;
  }
  /** That some of them are not as they were written; undefined where all are. */
  trouble(grading: GradingId, erasedBefore: Iterable<string>): Fault | undefined {
    const count = this.#check.findings(erasedBefore).filter(isUnsound).length;
    return count > 0 ? { code: "NAMES_DAMAGED", with: { grading, count } } : undefined;
  }

  /** What the records call, or called, somebody; none where they name nobody. */
  namesOf(about: string): string[] {
    return this.#rules.namesIn(
      [...this.#records.values()].filter((record) => record.about === about),
    );
  }
  /** Lets go of what is held of these people. @returns whom the disk still holds records of, with those filed under somebody else. */
  forget(erased: ReadonlySet<string>): Map<string, SideRecordId[]> {
    const gone = new Map<string, SideRecordId[]>();
    for (const { id, about } of this.#records.values()) {
      const whose = this.#check.goesWith(id, erased);
      if (whose === undefined) continue;
      const ids = gone.get(whose) ?? [];
      gone.set(whose, whose === about ? ids : [...ids, id]);
      this.#records.delete(id);
      this.#check.drop(id);
    }
    return gone;
  }
}

/** How an entry is asked for what it refers to. */
interface Asked {
  rules: SideRules;
  around: AroundEntry;
  /** The record is on the disk already. */
  isHeld: boolean;
  /** Of an id that vouches for nothing another record may be kept already, or be brought first. */
  mustVouch: boolean;
}

/** Why an entry is not taken with this record as what it refers to; null where it is. */
export function refusalOfSide(
  entry: AnyEntry,
  ref: TextRef,
  side: SideRecord | undefined,
  { rules, around, isHeld, mustVouch }: Asked,
): Fault | null {
  if (mustVouch && !isOfVouchingForm(ref.id))
    return { code: "SIDE_RECORD_MISFILED", with: { id: ref.id } };
  const fat = side && !isHeld && sizeFaultOfSide(side);
  if (fat) return fat;
  const filed = side && { ...side, digest: sideDigest(side) };
  const why = filed ? rules.faultOf(entry, ref, filed, around) : "digest";
  if (why === null) return null;
  const code = why === "digest" ? "SIDE_RECORD_MISSING" : "SIDE_RECORD_MISFILED";
  return { code, with: { id: ref.id } };
}
