import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import { createServer } from "node:http";
import { tmpdir } from "node:os";
import { extname, join } from "node:path";
import { fileURLToPath } from "node:url";
import { gzipSync } from "node:zlib";
import type { Browser } from "playwright-core";
import { build } from "vite";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { startHub } from "../../src/hub/main.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { keepPass } from "../builders/keep-pass.ts";
import { sixByFive } from "../builders/six-by-five.ts";
import { openBrowser } from "../tools/browser.ts";
import { bareWorker, benchColdStart } from "./cold-start.ts";
import { type Measured, median, percentile } from "./measure.ts";
import { stopwatch, type TapTimes } from "./stopwatch.ts";

const root = fileURLToPath(new URL("../..", import.meta.url));
const tabletFolder = join(root, "build", "tablet");
const ROUNDS = 5;
const THROTTLE = 4;

/** Tap to paint and tap to disk on the judge's screen, beside a bare React page with as many targets, in one run. */
export async function benchTablet(): Promise<Measured[]> {
  const dataFolder = mkdtempSync(join(tmpdir(), "evenhand-bench-"));
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder, tabletFolder });
  const bare = await serveBarePage();
  const browser = await openBrowser();
  try {
    const { plan, judges } = sixByFive();
    const chief = await hub.desk.makeChief("bench-chief" as DeviceId);
    await hub.desk.makeGrading(chief.token, aGradingId, "bench-chief" as DeviceId);
    const room = await hub.rooms.room(aGradingId);
    await room.handIn(
      { person: "chief" as PersonId, roles: ["chief"], device: "chief-tablet" as DeviceId },
      plan,
    );
    const judge = judges[0]?.person as PersonId;

    const ours: TapTimes[] = [];
    const floor: TapTimes[] = [];
    const unthrottled: TapTimes[] = [];
    for (let round = 0; round < ROUNDS; round++) {
      const device = `bench-${round}` as DeviceId;
      const { token } = await hub.desk.letIn(aGradingId, device, {
        name: "Bench",
        person: judge,
        roles: ["judge"],
      });
      const pass = {
        grading: aGradingId,
        device,
        person: judge,
        roles: ["judge"],
        token,
        name: "Bench",
        cursor: 0,
        lastContactMs: Date.now(),
      };
      ours.push(...(await tapThrough(browser, `http://127.0.0.1:${hub.port}`, THROTTLE, pass)));
      floor.push(...(await tapThrough(browser, bare.address, THROTTLE)));
      const again = { ...pass, device: `${device}-free` as DeviceId };
      const free = await hub.desk.letIn(aGradingId, again.device, {
        name: "Bench",
        person: judge,
        roles: ["judge"],
      });
      again.token = free.token;
      unthrottled.push(...(await tapThrough(browser, `http://127.0.0.1:${hub.port}`, 1, again)));
    }
    const pass = {
      ...(await hub.desk.letIn(aGradingId, "bench-cold" as DeviceId, {
        name: "Bench",
        person: judge,
        roles: ["judge"],
      })),
      grading: aGradingId,
      device: "bench-cold",
      person: judge,
      roles: ["judge"],
      name: "Bench",
      cursor: 0,
      lastContactMs: Date.now(),
    };
    const coldStart = await benchColdStart(
      browser,
      `http://127.0.0.1:${hub.port}`,
      bare.address,
      pass,
    );
    const ratio = (share: number, of: keyof TapTimes) =>
      percentile(
        ours.map((tap) => tap[of]),
        share,
      ) /
      percentile(
        floor.map((tap) => tap[of]),
        share,
      );
    const how = `${ours.length} taps each, interleaved, processor throttled ${THROTTLE}×`;
    const paints = `${median(ours.map(({ paint }) => paint)).toFixed(0)} against ${median(floor.map(({ paint }) => paint)).toFixed(0)} ms`;
    const stores = `${median(ours.map(({ stored }) => stored)).toFixed(0)} against ${median(floor.map(({ stored }) => stored)).toFixed(0)} ms`;
    return [
      {
        what: "tap → paint against a bare page (median)",
        value: ratio(0.5, "paint"),
        unit: "×",
        goal: 1.25,
        how: `${paints}; ${how}`,
      },
      {
        what: "tap → paint against a bare page (p98)",
        value: ratio(0.98, "paint"),
        unit: "×",
        goal: 1.5,
        how,
      },
      {
        what: "tap → stored, strict, against a bare page (median)",
        value: ratio(0.5, "stored"),
        unit: "×",
        goal: 1.3,
        how: `${stores}; ${how}`,
      },
      {
        what: "tap → stored, unthrottled (p95)",
        value: percentile(
          unthrottled.map(({ stored }) => stored),
          0.95,
        ),
        unit: "ms",
        goal: 100,
        how: `${unthrottled.length} taps`,
      },
      coldStart,
      {
        what: "compressed script of the judge's first screen",
        value: await firstLoadKilobytes(browser, `http://127.0.0.1:${hub.port}`, pass),
        unit: "kB",
        goal: 160,
        how: "gzip of every script that a judge's page asked for until the board stood",
      },
    ];
  } finally {
    await browser.close();
    await bare.close();
    await hub.close();
    rmSync(dataFolder, { recursive: true, force: true });
  }
}

/** Opens a page anew and taps every target once, left sides first. */
async function tapThrough(
  browser: Browser,
  address: string,
  throttle: number,
  pass?: object,
): Promise<TapTimes[]> {
  const context = await browser.newContext({
    viewport: { width: 1180, height: 820 },
    serviceWorkers: "block",
  });
  const page = await context.newPage();
  await page.addInitScript(stopwatch);
  await page.goto(address);
  if (pass) {
    await keepPass(page, pass);
    await page.goto(`${address}/tests/${aGradingId}/judge`);
    await page.locator("[data-zone]").first().waitFor();
  } else await page.locator("[data-target]").first().waitFor();
  const places = await page.evaluate(
    (selector) => {
      const middles = [...document.querySelectorAll(selector)].map((element) => {
        const { left, top, width, height } = element.getBoundingClientRect();
        return { x: left + width / 2, y: top + height / 2 };
      });
      return middles;
    },
    pass ? "[data-zone]" : "[data-target]",
  );
  const session = await context.newCDPSession(page);
  await session.send("Emulation.setCPUThrottlingRate", { rate: throttle });
  // Let the page settle: fonts, the first frames from the hub.
  await page.waitForTimeout(800);
  for (const { x, y } of places.filter((_, index) => index % 2 === 0)) {
    await page.mouse.click(x, y);
    await page.waitForTimeout(throttle > 1 ? 350 : 200);
  }
  const taps = await page.evaluate(() => (window as unknown as { taps: Partial<TapTimes>[] }).taps);
  await context.close();
  const whole = taps.filter(
    (tap): tap is TapTimes => (tap.paint ?? -1) >= 0 && tap.stored !== undefined,
  );
  if (whole.length < places.length / 2 - 2)
    throw new Error(
      `tablet bench: ${whole.length} of ${places.length / 2} taps were seen on ${address}`,
    );
  // The first tap pays for what is compiled then.
  return whole.slice(1);
}

/** What a judge's tablet loads before it can mark, compressed. Whoever has no pass would be shown another, smaller screen. */
async function firstLoadKilobytes(
  browser: Browser,
  address: string,
  pass: object,
): Promise<number> {
  const context = await browser.newContext({ serviceWorkers: "block" });
  const page = await context.newPage();
  await page.goto(address);
  await keepPass(page, pass);
  await page.goto("about:blank");
  const asked = new Set<string>();
  page.on("request", (request) => {
    const { pathname } = new URL(request.url());
    if (pathname.endsWith(".js")) asked.add(pathname);
  });
  await page.goto(`${address}/tests/${aGradingId}/judge`);
  await page.locator("[data-zone]").first().waitFor();
  await context.close();
  const bytes = [...asked].map(
    (path) => gzipSync(readFileSync(join(tabletFolder, path)), { level: 9 }).length,
  );
  return bytes.reduce((sum, one) => sum + one, 0) / 1000;
}

/** Builds the bare page and serves it. */
async function serveBarePage(): Promise<{ address: string; close: () => Promise<void> }> {
  const outDir = join(root, ".cache", "bare-page");
  await build({
    root: fileURLToPath(new URL("./bare-page", import.meta.url)),
    configFile: false,
    logLevel: "error",
    build: { outDir, emptyOutDir: true, target: "es2022" },
  });
  const files = new Map(
    readdirSync(outDir, { recursive: true, withFileTypes: true })
      .filter((entry) => entry.isFile())
      .map((entry) => {
        const path = join(entry.parentPath, entry.name);
        return [path.slice(outDir.length), readFileSync(path)];
      }),
  );
  files.set("/sw.js", Buffer.from(bareWorker(["/", ...files.keys()])));
  const types: Record<string, string> = { ".html": "text/html", ".js": "text/javascript" };
  const server = createServer((request, response) => {
    const path = request.url === "/" ? "/index.html" : (request.url ?? "");
    const body = files.get(path);
    if (!body) return void response.writeHead(404).end();
    response
      .writeHead(200, { "content-type": types[extname(path)] ?? "application/octet-stream" })
      .end(body);
  });
  await new Promise<void>((done) => server.listen(0, "127.0.0.1", done));
  const address = server.address();
  const port = typeof address === "object" && address ? address.port : 0;
  return {
    address: `http://127.0.0.1:${port}/`,
    close: () =>
      new Promise((done) => {
        server.closeAllConnections();
        server.close(() => done());
      }),
  };
}
