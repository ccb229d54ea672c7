import type { Fault } from "../../book/faults.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import { openToRead } from "../store/open-database.ts";
import { asBytes, asText } from "../store/sqlite-text.ts";

/**
 * Whether a copy holds lines that the store it is of lacks: the store's log was lost or damaged, or an older store was put in its place.
 * @param copy  the whole path
 * @returns COPY_AHEAD; undefined where it holds nothing more, and where it cannot be read
 */
export async function copyAhead(
  copy: string,
  store: Pick<ScorebookStore, "gradings">,
): Promise<Fault | undefined> {
  const here = new Map((await store.gradings()).map(({ grading, entries }) => [grading, entries]));
  try {
    const more = entriesIn(copy)
      .map(({ grading, entries }) => entries - (here.get(grading as never) ?? 0))
      .filter((entries) => entries > 0);
    const count = more.reduce((sum, entries) => sum + entries, 0);
    return count > 0 ? { code: "COPY_AHEAD", with: { file: copy, count } } : undefined;
  } catch {
    return undefined;
  }
}

function entriesIn(copy: string): { grading: string; entries: number }[] {
  const database = openToRead(copy);
  try {
    return database
      .prepare(
        `SELECT ${asBytes(["grading"])}, max(seq) AS entries FROM entries GROUP BY entries.grading`,
      )
      .all()
      .map((row) => asText<{ grading: string; entries: number }>(row));
  } finally {
    database.close();
  }
}
