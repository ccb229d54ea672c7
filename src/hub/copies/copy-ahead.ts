import type { Fault } from "../../book/faults.ts";
import type { GradingId } from "../../book/identity.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { CopiesDisk } from "./copies-disk.ts";

type Store = Pick<ScorebookStore, "gradings" | "read">;
/** A copy that holds lines which the store it is of lacks. */
export interface Ahead {
  copy: string;
  fault: Fault;
}
/** Copies that were looked at. */
export interface LookedAt {
  /** First the one that holds most of what the store lacks. */
  ahead: readonly Ahead[];
  /** Of these nobody knows what they hold: they were not read to the end. */
  unread: readonly string[];
}

/**
 * Those of these copies that hold lines which the store lacks: its log was lost or damaged, or an older store was put in its place, and not all came again.
 * @param copies  whole paths; one that is damaged holds nothing
 */
export async function copiesAhead(
  copies: readonly string[],
  store: Store,
  disk: Pick<CopiesDisk, "ends" | "ids">,
): Promise<LookedAt> {
  const here = new Map((await store.gradings()).map(({ grading, entries }) => [grading, entries]));
  const known = new Map<GradingId, ReadonlySet<string>>();
  const idsHere = async (grading: GradingId): Promise<ReadonlySet<string>> => {
    const before = known.get(grading);
    if (before) return before;
    const ids = here.has(grading)
      ? (await store.read(grading, 0)).map(({ entry }) => entry.id)
      : [];
    const found = new Set<string>(ids);
    known.set(grading, found);
    return found;
  };
  const moreIn = async (copy: string): Promise<number> => {
    let count = 0;
    for (const { grading, seq, chain } of await disk.ends(copy)) {
      // The same chain is the same lines. A place beyond the end is not asked for: a store takes it for one that was read and is gone.
      const isWithin = seq <= (here.get(grading) ?? 0);
      const [same] = isWithin ? await store.read(grading, seq - 1, 1) : [];
      if (same?.chain === chain) continue;
      const ids = await idsHere(grading);
      count += (await disk.ids(copy, grading)).filter((id) => !ids.has(id)).length;
    }
    return count;
  };
  const found: { copy: string; count: number }[] = [];
  const unread: string[] = [];
  for (const copy of copies)
    try {
      const count = await moreIn(copy);
      if (count > 0) found.push({ copy, count });
    } catch {
      unread.push(copy);
    }
  const ahead = found
    .sort((a, b) => b.count - a.count)
    .map(
      ({ copy, count }): Ahead => ({
        copy,
        fault: { code: "COPY_AHEAD", with: { file: copy, count } },
      }),
    );
  return { ahead, unread };
}
