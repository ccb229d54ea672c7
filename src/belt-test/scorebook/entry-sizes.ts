import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import { rowOf } from "../kinds/all-kinds.ts";
import { USUAL } from "../kinds/kind-row.ts";
import { isKnown } from "./entry.ts";

/** Whether an entry is larger than anything of its kind has reason to be; what no key of ours holds counts too. Free text is not in entries. */
export function sizeFault(entry: AnyEntry): Fault | null {
  const may = mostOf(entry);
  const letters = JSON.stringify(entry).length;
  return letters > may ? { code: "ENTRY_TOO_LARGE", with: { letters, most: may } } : null;
}

function mostOf(entry: AnyEntry): number {
  if (!isKnown(entry)) return USUAL;
  const { most } = rowOf(entry.kind);
  return typeof most === "number" ? most : most(entry as never);
}
