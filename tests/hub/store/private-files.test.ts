import { chmodSync, mkdirSync, mkdtempSync, readdirSync, rmSync, statSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it, onTestFinished } from "vitest";
import { openStore } from "../../../src/hub/store/open-store.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const modeOf = (path: string) => (statSync(path).mode & 0o777).toString(8);

it("[L85] is readable to whoever runs the hub only, also where folder and files were open before", async () => {
  const around = mkdtempSync(join(tmpdir(), "evenhand-open-"));
  onTestFinished(() => rmSync(around, { recursive: true }));
  const folder = join(around, "data");
  mkdirSync(folder);
  chmodSync(folder, 0o755);
  for (let start = 0; start < 2; start++) {
    const { store, close } = await openStore(folder, undefined, testBooks);
    await store.append(aGradingId, aTestDay().plan);
    expect(modeOf(folder)).toBe("700");
    const kept = readdirSync(folder).filter((name) => name.includes("sqlite"));
    expect(kept.length).toBeGreaterThan(1);
    for (const name of kept) expect([name, modeOf(join(folder, name))]).toEqual([name, "600"]);
    await close();
    // As an earlier version left it.
    chmodSync(folder, 0o755);
    for (const name of readdirSync(folder)) chmodSync(join(folder, name), 0o644);
  }
});
