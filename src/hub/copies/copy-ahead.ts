import type { Fault } from "../../book/faults.ts";
import type { GradingId } from "../../book/identity.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { type HubDatabase, openToRead } from "../store/open-database.ts";
import { asBytes, asText } from "../store/sqlite-text.ts";

/** A copy that holds lines which the store it is of lacks, and how many. */
interface Ahead {
  copy: string;
  fault: Fault;
}

/**
 * Of these copies the one that holds most of what the store lacks: its log was lost or damaged, or an older store was put in its place.
 * @param copies  whole paths, newest first
 * @returns undefined where none holds anything more; what cannot be read is passed over
 */
export async function copyAhead(
  copies: readonly string[],
  store: Pick<ScorebookStore, "gradings">,
): Promise<Ahead | undefined> {
  const here = new Map((await store.gradings()).map(({ grading, entries }) => [grading, entries]));
  let most = 0;
  let ahead: Ahead | undefined;
  for (const copy of copies) {
    const count = entriesIn(copy)
      .map(({ grading, entries }) => entries - (here.get(grading as GradingId) ?? 0))
      .filter((entries) => entries > 0)
      .reduce((sum, entries) => sum + entries, 0);
    if (count <= most) continue;
    most = count;
    ahead = { copy, fault: { code: "COPY_AHEAD", with: { file: copy, count } } };
  }
  return ahead;
}

function entriesIn(copy: string): { grading: string; entries: number }[] {
  let database: HubDatabase | undefined;
  try {
    database = openToRead(copy);
    return database
      .prepare(
        `SELECT ${asBytes(["grading"])}, max(seq) AS entries FROM entries GROUP BY entries.grading`,
      )
      .all()
      .map((row) => asText<{ grading: string; entries: number }>(row));
  } catch {
    return [];
  } finally {
    database?.close();
  }
}
