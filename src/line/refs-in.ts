import { TextRef } from "../belt-test/kinds/body-parts.ts";
import type { AnyEntry } from "../belt-test/scorebook/entry.ts";

/** The side records an entry refers to, wherever in its body they are named. */
export function refsIn(entry: AnyEntry): TextRef[] {
  return Object.values(entry.body).flatMap((value) => {
    if (typeof value !== "object" || value === null || !("digest" in value)) return [];
    const read = TextRef.safeParse(value);
    return read.success ? [read.data] : [];
  });
}
