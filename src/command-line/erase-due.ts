import { erase } from "../hub/forgetting/erase.ts";
import { forgetDoor } from "../hub/forgetting/forget-at-door.ts";
import { namesDue } from "../hub/forgetting/names-due.ts";
import { retentionRule } from "../hub/forgetting/retention-rule.ts";
import type { ErasedLog } from "../hub/store/erased-log.ts";
import { TitlePages } from "../hub/test-room/title-pages.ts";
import type { DoorTables } from "../ports/door-tables.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { sayTerminal } from "./say-terminal.ts";

/** Everybody's names and texts out of every test that lies longer back than names are kept. @returns the exit code. */
export async function eraseDue(
  { store, door, log }: { store: ScorebookStore; door: DoorTables; log: ErasedLog },
  asked: { test?: string | undefined; json?: boolean | undefined; isDry: boolean; nowMs: number },
  out: (text: string) => void,
): Promise<number> {
  const { isDry, nowMs } = asked;
  const { months } = await retentionRule(door);
  const today = new Date(nowMs).toISOString().slice(0, 10);
  const tests = [];
  const found = await namesDue({ store, door, pages: new TitlePages(store) }, months, today);
  for (const { grading, title, date, due, state, abouts, strangers, records } of found) {
    if (state !== "due" || (asked.test !== undefined && asked.test !== grading)) continue;
    if (!isDry) {
      await erase(store, log, { grading, abouts, nowMs });
      await forgetDoor(door, grading, log.noteDevices(grading, nowMs));
    }
    tests.push({ test: grading, title, date, due, people: abouts.length + strangers, records });
  }
  if (asked.json) out(JSON.stringify({ erased: !isDry, months, tests }, null, 2));
  else {
    if (tests.length === 0) out(sayTerminal("erase-due-none", { months }));
    for (const test of tests) out(sayTerminal(isDry ? "erase-due-would" : "erase-due-did", test));
    if (!isDry && tests.length > 0) out(sayTerminal("erase-backups"));
  }
  return 0;
}
