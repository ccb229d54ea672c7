import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterAll, describe, expect, it } from "vitest";
import { FaultError } from "../../../src/book/faults.ts";
import { diskHere } from "../../../src/hub/copies/copies-disk.ts";
import { copiesAhead } from "../../../src/hub/copies/copy-ahead.ts";
import { isDamage } from "../../../src/hub/copies/damaged-copy.ts";
import { openSqliteScorebook } from "../../../src/hub/store/sqlite-scorebook.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const folder = mkdtempSync(join(tmpdir(), "evenhand-ahead-"));
afterAll(() => rmSync(folder, { recursive: true }));

describe("whether a copy holds more than the store", () => {
  it("[L120] is known of one that was read, or is damaged itself, and not where the disk does not give it", async () => {
    const [more, empty, noCopy, lost, gone] = ["more", "empty", "no-copy", "lost", "gone"].map(
      (name) => join(folder, `${name}.sqlite`),
    ) as [string, string, string, string, string];
    const pen = aPen("judge-1");
    const book = openSqliteScorebook(more, testBooks);
    await book.append(aGradingId, [aMark(pen), aMark(pen)]);
    await book.close();
    writeFileSync(empty, "");
    writeFileSync(noCopy, "scribble ".repeat(2000));
    mkdirSync(lost);
    const store = openMemoryScorebook();
    const found = await copiesAhead([lost, more, empty, noCopy], store, diskHere);
    expect(found).toMatchObject({ ahead: [{ copy: more, fault: { with: { count: 2 } } }] });
    expect(found.unread).toEqual([lost]);
    await expect(diskHere.whose(lost)).rejects.toThrow("STORE_LOST");
    expect(await diskHere.whose(noCopy)).toBeUndefined();
    // Its process was killed between two questions.
    const ids = async () => {
      throw new Error("ended with SIGKILL");
    };
    expect(await copiesAhead([more, gone], store, { ...diskHere, ids })).toEqual({
      ahead: [],
      unread: [more, gone],
    });
  });

  it("[L137] asks the store for no place beyond its end: a database takes that for a book that was put back, and its hub would begin again for ever", async () => {
    const more = join(folder, "further.sqlite");
    const pen = aPen("judge-1");
    const marks = [aMark(pen), aMark(pen), aMark(pen)];
    const book = openSqliteScorebook(more, testBooks);
    await book.append(aGradingId, marks);
    await book.close();
    const store = openMemoryScorebook();
    await store.append(aGradingId, marks.slice(0, 1));
    const asked: number[] = [];
    const read: typeof store.read = async (grading, since, limit) => {
      asked.push(since);
      return store.read(grading, since, limit);
    };
    const { ahead } = await copiesAhead([more], { ...store, read }, diskHere);
    expect(ahead).toMatchObject([{ fault: { with: { count: 2 } } }]);
    expect(asked.filter((since) => since >= 1)).toEqual([]);
  });

  it("[L120] is not known where a page of it was not given while it was looked through", () => {
    const damaged = (detail: string) => new FaultError({ code: "STORE_DAMAGED", with: { detail } });
    expect(isDamage(damaged("Tree 4 page 9: unable to get the page. error code=266"))).toBe(false);
    expect(isDamage(damaged("Tree 4 page 9: unable to get the page. error code=10"))).toBe(false);
    expect(isDamage(damaged("Tree 4 page 9: btreeInitPage() returns error code 11"))).toBe(true);
    expect(isDamage(damaged("Tree 4 page 9: unable to get the page. error code=11"))).toBe(true);
  });
});
