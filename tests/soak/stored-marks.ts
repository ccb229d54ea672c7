import { openSqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { storeFile } from "../../src/hub/store/store-file.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aGradingId } from "../builders/a-pen.ts";

/** The ids of the mark entries in a hub's data folder, in their order. */
export async function storedMarks(folder: string): Promise<string[]> {
  const store = openSqliteScorebook(storeFile(folder), testBooks);
  const lines = await store.read(aGradingId, 0);
  await store.close();
  return lines.flatMap(({ entry }) => (entry.kind === "mark" ? [entry.id] : []));
}
