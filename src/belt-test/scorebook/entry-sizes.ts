import type { Fault } from "../../book/faults.ts";
import { type AnyEntry, type EntryKind, isKnown } from "./entry.ts";

/** Letters of an entry's JSON, envelope and all, that its kind may have; for those not named here there is no need of more than the usual. */
const most: Partial<Record<EntryKind, number>> = {
  // A shipped rubric is about 30,000, and a federation's may have three times the items.
  frozen: 200_000,
  "rubric-replaced": 200_000,
  "faults-frozen": 200_000,
  // Sixty candidates by their ids.
  assigned: 20_000,
  "lined-up": 10_000,
  called: 10_000,
  locked: 10_000,
  revealed: 10_000,
  "anchor-agreed": 80_000,
  "anchor-marked": 80_000,
  "judge-told": 20_000,
  verdict: 20_000,
  "review-settled": 20_000,
  // Without a single verdict sixty candidates times seven judges times ten sections are as many counts.
  closed: 300_000,
  "sheet-edited": 20_000,
  "held-sealed": 200_000,
};
const USUAL = 4_000;
/** A mark is as large as its cells and what it takes the place of, and old books' speak of a whole line. Of a cell's ids each may have 64 letters. */
const MARK = { itself: 2_000, aCell: 300, aReplaced: 40 };

/** Whether an entry is larger than anything of its kind has reason to be; what no key of ours holds counts too. Free text is not in entries. */
export function sizeFault(entry: AnyEntry): Fault | null {
  const may = mostOf(entry);
  const letters = JSON.stringify(entry).length;
  return letters > may ? { code: "ENTRY_TOO_LARGE", with: { letters, most: may } } : null;
}

function mostOf(entry: AnyEntry): number {
  if (!isKnown(entry)) return USUAL;
  if (entry.kind !== "mark") return most[entry.kind] ?? USUAL;
  const { body, replaces = [] } = entry;
  return MARK.itself + MARK.aCell * body.cells.length + MARK.aReplaced * replaces.length;
}
