import type { GradingId } from "../../book/identity.ts";
import { SideRecord } from "../../book/side-record.ts";

/**
 * A name or text as it lies in a store. One that cannot be read, or is filed under another id than it says, is left without a word:
 * no entry refers to that, and so it is named and shown to nobody.
 */
export function readSide(grading: GradingId, id: string, text: string): SideRecord {
  try {
    const read = SideRecord.safeParse(JSON.parse(text));
    if (read.success && read.data.id === id) return read.data;
  } catch {
    // As below.
  }
  return { id, grading, about: "", kind: "text", salt: "", body: {} } as unknown as SideRecord;
}

/** Whom a record says to be about, whatever else is wrong with it; undefined where it cannot be read. */
export function aboutIn(record: string): string | undefined {
  try {
    const { about } = JSON.parse(record) as { about?: unknown };
    return typeof about === "string" ? about : undefined;
  } catch {
    return undefined;
  }
}
