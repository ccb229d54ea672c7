import { isKnown } from "../../src/belt-test/scorebook/entry.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { EntryId } from "../../src/book/identity.ts";
import type { StoredEntry } from "../../src/book/stored-entry.ts";
import type { Appended, ScorebookStore } from "../../src/ports/scorebook-store.ts";
import type { TabletStore } from "../../src/ports/tablet-store.ts";
import type { Plant } from "./world.ts";

/** Three classic mistakes of such systems, each in one adapter, to see that a simulated day finds it. Nothing else uses them. */
export const planted: Record<string, Plant> = {
  "acknowledges before the commit": { hubStore: promisesBeforeCommit },
  "empties the outbox when it sends": { tabletStore: emptiesOnSending },
  "lets the later wall clock win": { hubStore: keepsLaterClock },
};

/** Answers what the disk will say, before the disk has said it. */
function promisesBeforeCommit(store: ScorebookStore): ScorebookStore {
  const promised: StoredEntry[] = [];
  return {
    ...store,
    async append(grading, entries, sides) {
      const lines = await store.read(grading, promised.length);
      promised.push(...lines);
      const known = new Set(promised.map(({ entry }) => entry.id));
      const answer: Appended = { added: [], known: [], refused: [] };
      for (const entry of entries) {
        if (known.has(entry.id)) answer.known.push(entry.id);
        else {
          const stored = { entry, seq: promised.length + 1, chain: "" };
          promised.push(stored);
          answer.added.push(stored);
        }
      }
      store.append(grading, entries, sides).catch(() => undefined);
      return answer;
    },
  };
}

/** Sent is sent: what was lost on the way is not asked for. */
function emptiesOnSending(store: TabletStore): TabletStore {
  return {
    ...store,
    async outbox(grading) {
      const unsent = await store.outbox(grading);
      await store.sent(
        grading,
        unsent.entries.map(({ id }) => id),
      );
      return unsent;
    },
  };
}

/** One line a cell: a mark that says it is older than the one held for its cell is taken as known, and not kept. */
function keepsLaterClock(store: ScorebookStore): ScorebookStore {
  const newest = new Map<string, number>();
  return {
    ...store,
    async append(grading, entries, sides) {
      const late: EntryId[] = [];
      const kept = entries.filter((entry) => {
        const cells = cellsOf(entry);
        const isLate = cells.some((cell) => (newest.get(cell) ?? 0) > entry.at);
        if (isLate) late.push(entry.id);
        else for (const cell of cells) newest.set(cell, entry.at);
        return !isLate;
      });
      const answer = await store.append(grading, kept, sides);
      return { ...answer, known: [...answer.known, ...late] };
    },
  };
}

function cellsOf(entry: AnyEntry): string[] {
  if (!isKnown(entry) || entry.kind !== "mark") return [];
  const { section, item, side, cells } = entry.body;
  return cells.map(({ candidate, criterion }) =>
    JSON.stringify([entry.by, candidate, section, item, side, criterion]),
  );
}
