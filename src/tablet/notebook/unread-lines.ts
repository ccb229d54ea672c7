import type { AnyEntry, ReadEntry } from "../../book/entry.ts";
import type { Pass, TabletStore } from "../../ports/tablet-store.ts";

/**
 * Lines of the book that this version of the app cannot read: what a newer one wrote. They stand beside the book, in the pass, as they
 * came; every opening tries them again, so that an app that has been updated meanwhile takes them in.
 */
export function readLines(
  readEntry: (json: unknown) => ReadEntry,
  lines: readonly unknown[],
): { entries: AnyEntry[]; unread: unknown[] } {
  const entries: AnyEntry[] = [];
  const unread: unknown[] = [];
  for (const line of lines) {
    const read = readEntry(line);
    if (read.ok) entries.push(read.entry);
    else unread.push(line);
  }
  return { entries, unread };
}

/** Each line once, however often the hub says it. */
export function withUnread(kept: readonly unknown[], heard: readonly unknown[]): unknown[] {
  const lines = new Map([...kept, ...heard].map((line) => [JSON.stringify(line), line]));
  return [...lines.values()];
}

/** Puts into the book what can be read by now. @returns the pass, with what still cannot. */
export async function readUnread(
  readEntry: (json: unknown) => ReadEntry,
  store: TabletStore,
  pass: Pass,
): Promise<Pass> {
  if (!pass.unread?.length) return pass;
  const { entries, unread } = readLines(readEntry, pass.unread);
  if (entries.length === 0) return pass;
  await store.append(pass.grading, entries);
  const { unread: _, ...rest } = (await store.pass(pass.grading)) ?? pass;
  const read = { ...rest, ...(unread.length > 0 && { unread }) };
  await store.keepPass(read);
  return read;
}
