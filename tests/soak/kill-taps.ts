import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import { type BrowserContext, chromium, type Page } from "playwright-core";
import { chance } from "../../src/demo/chance.ts";
import { FLAGS, findBrowser } from "../../src/set-up/find-browser.mjs";
import { makeReady } from "../../src/set-up/make-ready.mjs";
import { AHub } from "../builders/a-hub.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { sixByFive } from "../builders/six-by-five.ts";
import { untilInPage } from "../builders/until-in-page.ts";
import { Glass, type Zone } from "./glass.ts";
import { outboxIsEmpty } from "./outbox-is-empty.ts";
import { storedMarks } from "./stored-marks.ts";

const tabletFolder = fileURLToPath(new URL("../../build/tablet", import.meta.url));
/** A browser lives so long after its board stands, in milliseconds. */
const LIFE = { least: 30, most: 700 };

/** What came of killing a judge's browser again and again in the middle of a tap. */
export interface KilledTaps {
  kills: number;
  taps: number;
  /** Marks that the glass showed as kept at any time. */
  shownAsKept: number;
  /** Cells that afterwards said neither what was shown as kept nor what a later tap asked for. */
  lost: string[];
  /** Marks on the tablet's disk in the end, those of them that came to the hub, and how many stand there twice. */
  onTablet: number;
  onHub: number;
  doubled: number;
}

/**
 * A judge marks without a network, and the browser is killed with SIGKILL: what the glass showed as kept must be there when it is opened again.
 * Needs Linux and a Chromium. A killed process is not a power cut: whether a disk keeps its word is not tested here.
 */
export async function killTaps(
  { kills, seed }: { kills: number; seed: number },
  say: (kill: number) => void = () => undefined,
): Promise<KilledTaps> {
  if (!(await makeReady())) throw new Error("killTaps: the app could not be built");
  const { share } = chance(seed);
  const hub = await AHub.start({ tabletFolder });
  const tablet = new KillableTablet(hub.address);
  try {
    await tablet.join(await aSeat(hub));
    const glass = new Glass();
    let taps = 0;
    for (let kill = 1; kill <= kills; kill++) {
      const page = await tablet.open({ hasNetwork: false, onLabel: (said) => glass.shows(said) });
      glass.opensWith(await labelsOf(page));
      const zones = await zonesOf(page);
      const end = performance.now() + LIFE.least + share() * (LIFE.most - LIFE.least);
      while (performance.now() < end) {
        const zone = zones[Math.floor(share() * zones.length)] as Zone;
        if (!glass.taps(zone)) continue;
        taps++;
        // Not waited for: the last of them is still on its way when the browser dies.
        void page.mouse.click(zone.x, zone.y).catch(() => undefined);
        await new Promise((done) => setTimeout(done, 10));
      }
      await tablet.kill();
      say(kill);
    }
    const page = await tablet.open({ hasNetwork: true });
    glass.opensWith(await labelsOf(page));
    const onTablet = await marksOn(page);
    await untilInPage(page, outboxIsEmpty, { timeout: 60_000 });
    await tablet.kill();
    await hub.stop();
    const stored = await storedMarks(hub.folder);
    const onHub = new Set(stored);
    return {
      kills,
      taps,
      shownAsKept: glass.shownAsKept,
      lost: glass.lost,
      onTablet: onTablet.length,
      onHub: onTablet.filter((id) => onHub.has(id)).length,
      doubled: stored.length - onHub.size,
    };
  } finally {
    await tablet.end();
    await hub.end();
  }
}

/** A planned test and a judge's pass for it. */
async function aSeat(hub: AHub): Promise<object> {
  const { plan, judges } = sixByFive();
  const chief = await hub.tablet("chief", ["chief"]);
  chief.append(...plan);
  await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
  const person = judges[0]?.person ?? "";
  const who = await hub.letsIn(person, ["judge"]);
  return { ...who, person, roles: ["judge"], name: "Soak", cursor: 0, lastContactMs: Date.now() };
}

/** One browser with a profile that outlives it. */
class KillableTablet {
  readonly #address: string;
  readonly #profile = mkdtempSync(join(tmpdir(), "evenhand-profile-"));
  #context: BrowserContext | undefined;

  constructor(address: string) {
    this.#address = address;
  }

  /** Puts the pass on the disk and fetches the plan. */
  async join(pass: object): Promise<void> {
    const page = await this.#launch();
    await page.goto(this.#address);
    await keepPass(page, pass);
    await this.#board(page);
    await page.waitForTimeout(500);
    await this.#context?.close();
  }

  async open({
    hasNetwork,
    onLabel,
  }: {
    hasNetwork: boolean;
    onLabel?: (label: string) => void;
  }): Promise<Page> {
    const page = await this.#launch();
    await page.routeWebSocket(/\/api\/sync$/, (socket) =>
      hasNetwork ? void socket.connectToServer() : void socket.close(),
    );
    if (onLabel) {
      await page.exposeFunction("glassShows", onLabel);
      await page.addInitScript(tellLabels);
    }
    await this.#board(page);
    return page;
  }

  async #launch(): Promise<Page> {
    const browser = await findBrowser();
    if ("missing" in browser) throw new Error(browser.missing);
    this.#context = await chromium.launchPersistentContext(this.#profile, {
      executablePath: browser.path,
      env: { ...(process.env as Record<string, string>), ...browser.env },
      args: FLAGS,
      viewport: { width: 1180, height: 820 },
      hasTouch: true,
    });
    return this.#context.newPage();
  }
  async #board(page: Page): Promise<void> {
    await page.goto(`${this.#address}/tests/${aGradingId}/judge`);
    await page.locator("[data-zone]").first().waitFor();
  }

  /** Every process of the browser at once. */
  async kill(): Promise<void> {
    const context = this.#context;
    this.#context = undefined;
    if (!context) return;
    spawnSync("pkill", ["-KILL", "-f", this.#profile]);
    await context.close().catch(() => undefined);
  }
  async end(): Promise<void> {
    await this.kill();
    rmSync(this.#profile, { recursive: true, force: true });
  }
}

/** Runs in the page: tells every label a cell takes. */
function tellLabels(): void {
  const tell = (window as unknown as { glassShows: (label: string) => void }).glassShows;
  new MutationObserver((changes) => {
    for (const { target } of changes) {
      const cell = target as Element;
      if (cell.getAttribute("role") === "gridcell") tell(cell.getAttribute("aria-label") ?? "");
    }
  }).observe(document, { subtree: true, attributeFilter: ["aria-label"] });
}

const labelsOf = (page: Page): Promise<string[]> =>
  page
    .getByRole("gridcell")
    .evaluateAll((cells) => cells.map((cell) => cell.getAttribute("aria-label") ?? ""));

const zonesOf = (page: Page): Promise<Zone[]> =>
  page.locator("[role=gridcell] [data-zone]").evaluateAll((zones) =>
    zones.map((zone) => {
      const { left, top, width, height } = zone.getBoundingClientRect();
      const [cell = ""] = (zone.closest("[role=gridcell]")?.getAttribute("aria-label") ?? "").split(
        ": ",
      );
      const state = (zone.getAttribute("aria-label") ?? "").toLowerCase();
      return { x: left + width / 2, y: top + height / 2, cell, state };
    }),
  );

const marksOn = (page: Page): Promise<string[]> => page.evaluate(marksInTheBook);

/** Runs in the page: the ids of the marks on this device's disk. */
function marksInTheBook(): Promise<string[]> {
  return new Promise((done, fail) => {
    const request = indexedDB.open("evenhand");
    request.onerror = () => fail(request.error);
    request.onsuccess = () => {
      const all = request.result.transaction("rows").objectStore("rows").getAll();
      all.onsuccess = () => {
        request.result.close();
        done(
          (all.result as { entry: { id: string; kind: string } }[]).flatMap(({ entry }) =>
            entry.kind === "mark" ? [entry.id] : [],
          ),
        );
      };
    };
  });
}
