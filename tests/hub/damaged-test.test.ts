import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import Database from "libsql";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { Fault } from "../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { openSqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";

let folder: string;
let path: string;
let store: ScorebookStore;
let day: TestDay;
beforeEach(async () => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-damaged-"));
  path = join(folder, "evenhand.sqlite");
  store = openSqliteScorebook(path, testBooks);
  day = aTestDay({ judges: 1 });
  await store.append(aGradingId, [...day.plan, aMark(hand().pen, { level: 2 }), aMark(hand().pen)]);
});
afterEach(async () => {
  await store.close();
  rmSync(folder, { recursive: true, force: true });
});
const hand = () => {
  const [one] = day.judges;
  if (!one) throw new Error("a judge");
  return one;
};
const judge = {
  person: "judge-1" as PersonId,
  roles: ["judge"] as const,
  device: "judge-1-tablet" as DeviceId,
};

/** Somebody, or the disk, with the file in hand. */
function tampered(sql: string): void {
  const database = new Database(path);
  database.exec(`DROP TRIGGER entries_are_never_changed; ${sql}`);
  database.close();
}
const levelTurned = "UPDATE entries SET body = replace(body, '\"level\":2', '\"level\":3')";

describe("a test that is damaged on the disk", () => {
  it("[H61] is named, read as far as it is sound, and written to no more", async () => {
    tampered(levelTurned);
    const told: Fault[] = [];
    const room = await GradingRoom.open(aGradingId, store, "hub", {
      onTrouble: (fault) => void told.push(fault),
    });
    const damage = {
      code: "TEST_DAMAGED",
      with: { grading: aGradingId, seq: day.plan.length + 1 },
    };
    expect(told).toEqual([damage]);
    expect(room.trouble).toEqual(damage);
    expect(room.upTo).toBe(day.plan.length);
    hand().pen.write("resumed", {});
    const mark = aMark(hand().pen);
    expect(await room.handIn(judge, [mark])).toEqual({
      kept: [],
      refused: [{ id: mark.id, fault: damage }],
    });
    expect(await store.read(aGradingId, 0)).toHaveLength(day.plan.length);
  });

  it("[H61] damage that comes while it is open is found before anything is put after it", async () => {
    const room = await GradingRoom.open(aGradingId, store, "hub");
    expect(room.trouble).toBeUndefined();
    tampered(
      "UPDATE entries SET chain = iif(substr(chain, 1, 1) = 'a', 'b', 'a') || substr(chain, 2)",
    );
    const mark = aMark(hand().pen);
    await expect(room.handIn(judge, [mark])).rejects.toThrow(/TEST_DAMAGED/);
    expect(room.trouble?.code).toBe("TEST_DAMAGED");
    expect((await room.handIn(judge, [mark])).refused.map(({ fault }) => fault.code)).toEqual([
      "TEST_DAMAGED",
    ]);
  });

  it("[H61] leaves the other tests of the store as they are", async () => {
    const other = aTestDay({ grading: anId("grading-2") });
    await store.append(anId("grading-2"), other.plan);
    tampered(`${levelTurned} WHERE grading = 'grading-1'`);
    const room = await GradingRoom.open(anId("grading-2"), store, "hub");
    expect(room.trouble).toBeUndefined();
    expect(room.upTo).toBe(other.plan.length);
  });
});

it("[H88] a test from which an entry was taken out is named as damaged at that entry, and read up to it", async () => {
  for (const seq of [1, 5, day.plan.length + 1]) {
    const before = Array.from({ length: seq - 1 }, (_, at) => at + 1);
    const there = mkdtempSync(join(tmpdir(), "evenhand-taken-out-"));
    const file = join(there, "evenhand.sqlite");
    const first = openSqliteScorebook(file, testBooks);
    await first.append(aGradingId, [...day.plan, aMark(hand().pen), aMark(hand().pen)]);
    await first.close();
    const database = new Database(file);
    for (const { name } of database
      .prepare("SELECT name FROM sqlite_master WHERE type = 'trigger'")
      .all() as { name: string }[])
      database.exec(`DROP TRIGGER ${name}`);
    database.exec(`DELETE FROM entries WHERE seq = ${seq}`);
    database.close();
    const again = openSqliteScorebook(file, testBooks);
    const room = await GradingRoom.open(aGradingId, again, "hub");
    expect(room.trouble).toEqual({ code: "TEST_DAMAGED", with: { grading: aGradingId, seq } });
    expect((await again.read(aGradingId, 0).catch(() => [])).map((line) => line.seq)).toEqual(
      before,
    );
    await again.close();
    rmSync(there, { recursive: true, force: true });
  }
});
