import { fileURLToPath } from "node:url";
import type { CDPSession, Page } from "playwright-core";
import type { ItemId, SectionId } from "../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { makeReady } from "../../src/set-up/make-ready.mjs";
import { DEAF_MS } from "../../src/tablet/parts/line/contact.ts";
import { percentile } from "../bench/measure.ts";
import { stopwatch, type TapTimes } from "../bench/stopwatch.ts";
import { AHub } from "../builders/a-hub.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { untilInPage } from "../builders/until-in-page.ts";
import { openBrowser } from "../tools/browser.ts";
import { outboxIsEmpty } from "./outbox-is-empty.ts";
import { storedMarks } from "./stored-marks.ts";

const tabletFolder = fileURLToPath(new URL("../../build/tablet", import.meta.url));
/** The largest board: six candidates, five criteria. */
const LINE = 6;
const ITEMS = 24;
const BOARD = LINE * 5;

/** One judge's tablet over a day of marking without a pause, its first and its last quarter beside each other. */
export interface MarkedForHours {
  taps: number;
  /** The page's heap after everything that can be collected was, in megabytes. */
  heapFirstMB: number;
  heapLastMB: number;
  /** From the tap to its paint and to the disk, in milliseconds, 98th percentiles. */
  paintFirstMs: number;
  paintLastMs: number;
  storedFirstMs: number;
  storedLastMs: number;
  /** Taps that are no mark on the hub. */
  lost: number;
  doubled: number;
}

/**
 * Taps through board after board of one long test, in a real browser with a hub on the line, as fast as it goes.
 * Four hours at a tap every two seconds are 7,200 taps. @param taps  whole boards of thirty are done, at least four.
 */
export async function markForHours(
  { taps }: { taps: number },
  say: (taps: number) => void = () => undefined,
): Promise<MarkedForHours> {
  if (!(await makeReady())) throw new Error("markForHours: the app could not be built");
  const boards = Math.max(4, Math.ceil(taps / BOARD));
  const { plan, judge, callOf } = aLongDay(Math.ceil(boards / ITEMS));
  const hub = await AHub.start({ tabletFolder });
  const browser = await openBrowser();
  try {
    const chief = await hub.tablet("chief", ["chief"]);
    const send = async (...entries: AnyEntry[]) => {
      for (let start = 0; start < entries.length; start += 100)
        chief.append(...entries.slice(start, start + 100));
      await chief.until(
        () => entries.every(({ id }) => chief.acknowledged.includes(id)),
        "what the chief wrote",
      );
    };
    await send(...plan, callOf(0));
    const who = await hub.letsIn(judge, ["judge"], "soak-tablet");
    const context = await browser.newContext({
      viewport: { width: 1180, height: 820 },
      serviceWorkers: "block",
    });
    const page = await context.newPage();
    await page.addInitScript(stopwatch);
    await page.goto(hub.address);
    await keepPass(page, {
      ...who,
      person: judge,
      roles: ["judge"],
      name: "Soak",
      cursor: 0,
      lastContactMs: Date.now(),
    });
    await page.goto(`${hub.address}/tests/${aGradingId}/judge`);
    const inspector = await context.newCDPSession(page);
    const quarters: { heapMB: number; times: TapTimes[] }[] = [];
    let times: TapTimes[] = [];
    for (let board = 0; board < boards; board++) {
      if (board > 0) await send(callOf(board));
      await blankBoard(page);
      times.push(...(await tapThrough(page)));
      say((board + 1) * BOARD);
      if (Math.floor(((board + 1) * 4) / boards) === quarters.length) continue;
      quarters.push({ heapMB: await heapOf(inspector), times });
      times = [];
    }
    await untilInPage(page, outboxIsEmpty, { timeout: 60_000 });
    await context.close();
    await hub.stop();
    const stored = await storedMarks(hub.folder);
    const [first, last] = [quarters.at(0), quarters.at(-1)];
    if (!first || !last) throw new Error("markForHours: nothing was marked");
    const p98 = ({ times }: typeof first, of: keyof TapTimes) =>
      percentile(
        times.map((tap) => tap[of]),
        0.98,
      );
    return {
      taps: boards * BOARD,
      heapFirstMB: first.heapMB,
      heapLastMB: last.heapMB,
      paintFirstMs: p98(first, "paint"),
      paintLastMs: p98(last, "paint"),
      storedFirstMs: p98(first, "stored"),
      storedLastMs: p98(last, "stored"),
      lost: boards * BOARD - new Set(stored).size,
      doubled: stored.length - new Set(stored).size,
    };
  } finally {
    await browser.close();
    await hub.end();
  }
}

/** Waves of six, each shown everything there is, one judge. */
function aLongDay(waves: number) {
  const plain = aRubric();
  const [blocks] = plain.sections;
  const items = Array.from({ length: ITEMS }, (_, index) => ({
    id: `combination-${index + 1}`,
    title: `Combination ${index + 1}`,
    group: "combination",
    criteria: plain.criteria.map(({ id }) => id),
  }));
  const section = { ...blocks, onceASection: undefined, overall: false, items };
  const rubric = aRubric({ sections: [section] as never });
  const { plan, chief, candidates, judges } = aTestDay({
    judges: 1,
    candidates: waves * LINE,
    rubric,
  });
  const lines = Array.from({ length: waves }, (_, wave) =>
    chief.write("lined-up", {
      wave: wave + 1,
      lanes: candidates.slice(wave * LINE, (wave + 1) * LINE),
    }),
  );
  const callOf = (board: number) =>
    chief.write("called", {
      wave: 1 + Math.floor(board / ITEMS),
      section: rubric.sections[0]?.id as SectionId,
      item: `combination-${1 + (board % ITEMS)}` as ItemId,
      side: null,
    });
  return { plan: [...plan, ...lines], judge: judges[0]?.person as PersonId, callOf };
}

/** The board of the call: nothing on it is marked yet. */
async function blankBoard(page: Page): Promise<void> {
  await page.waitForFunction(
    (cells) => {
      const labels = [...document.querySelectorAll("[role=gridcell]")].map((cell) =>
        cell.getAttribute("aria-label"),
      );
      return labels.length === cells && labels.every((said) => said?.endsWith(": blank"));
    },
    BOARD,
    { timeout: 30_000 },
  );
  // A board that has just changed takes no tap that was meant for the one before.
  await page.waitForTimeout(DEAF_MS + 50);
}

/** Every cell once. @returns how long each took. */
async function tapThrough(page: Page): Promise<TapTimes[]> {
  const middles = await page.evaluate(() =>
    [...document.querySelectorAll("[data-zone]")].map((zone) => {
      const { left, top, width, height } = zone.getBoundingClientRect();
      return { x: left + width / 2, y: top + height / 2 };
    }),
  );
  for (const { x, y } of middles.filter((_, index) => index % 2 === 0)) {
    await page.mouse.click(x, y);
    await page.waitForFunction(hasAnswered, undefined, { polling: 4, timeout: 10_000 });
  }
  return page.evaluate(() => (window as unknown as { taps: TapTimes[] }).taps.splice(0));
}
const hasAnswered = () => {
  const { taps } = window as unknown as { taps: Partial<TapTimes>[] };
  const last = taps.at(-1);
  return (last?.paint ?? -1) >= 0 && last?.stored !== undefined;
};

async function heapOf(inspector: CDPSession): Promise<number> {
  for (let time = 0; time < 3; time++) await inspector.send("HeapProfiler.collectGarbage");
  const { usedSize } = await inspector.send("Runtime.getHeapUsage");
  return usedSize / 1e6;
}
