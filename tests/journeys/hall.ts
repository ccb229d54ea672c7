import { type ChildProcess, spawn } from "node:child_process";
import { createHash, createPublicKey } from "node:crypto";
import { once } from "node:events";
import { mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Browser, BrowserContext, Page, WebSocketRoute } from "playwright-core";
import { openBrowser } from "../tools/browser.ts";

const LANDSCAPE = { width: 1180, height: 820 };
export const PORTRAIT = { width: 820, height: 1180 };

/** A hall with a hub that is a process of its own, and as many tablets as it takes. Keeps account of what went wrong. */
export class Hall {
  readonly folder = mkdtempSync(join(tmpdir(), "evenhand-hall-"));
  /** What no tablet may ever say or ask for, with whose it was. */
  readonly complaints: string[] = [];
  #browser!: Browser;
  readonly #isSecure: boolean;
  readonly #contexts: BrowserContext[] = [];
  #hub: ChildProcess | undefined;
  readonly #cables = new Map<Page, WebSocketRoute>();
  readonly #cut = new Set<Page>();
  /** A dead hub's refused connections are no fault of the app. */
  #isHubExpected = true;
  port = 0;
  /** Over TLS. */
  securePort = 0;
  /** The chief's key; the hub prints it once. */
  key = "";

  private constructor(isSecure: boolean) {
    this.#isSecure = isSecure;
  }

  /**
   * Opens the hall; the app is built (`app-set-up.ts`).
   * @param isSecure  over TLS, on tablets that trust the hub's certificate; this one, and no other that is not good.
   */
  static async open({ isSecure = false } = {}): Promise<Hall> {
    const hall = new Hall(isSecure);
    await hall.startHub();
    hall.#browser = await openBrowser(isSecure ? [hall.#trusting()] : []);
    return hall;
  }

  get address(): string {
    return this.#isSecure
      ? `https://127.0.0.1:${this.securePort}`
      : `http://127.0.0.1:${this.port}`;
  }
  /** As if somebody had installed the certificate, but on nobody's machine. */
  #trusting(): string {
    const certificate = readFileSync(join(this.#data, "tls", "server.crt"));
    const key = createPublicKey(certificate).export({ type: "spki", format: "der" });
    const digest = createHash("sha256").update(key).digest("base64");
    return `--ignore-certificate-errors-spki-list=${digest}`;
  }

  /** Starts the hub, or starts it again where it was: the same port, the same data. */
  async startHub(): Promise<void> {
    const hub = evenhand(
      "serve",
      "--host",
      "127.0.0.1",
      "--port",
      `${this.port}`,
      "--json",
      "--data",
      this.#data,
      ...(this.#isSecure ? ["--secure-port", `${this.securePort}`] : []),
    );
    this.#hub = hub;
    const said = await firstLine(hub);
    const { port, secure, key } = JSON.parse(said) as {
      port: number;
      secure?: { port: number };
      key?: string;
    };
    this.port = port;
    this.securePort = secure?.port ?? 0;
    this.key = key ?? this.key;
    this.#isHubExpected = true;
  }

  /** No warning, no goodbye: as when somebody trips over the cable. */
  async killHub(): Promise<void> {
    this.#isHubExpected = false;
    await ended(this.#hub, "SIGKILL");
    this.#hub = undefined;
  }

  /** The example test, opened on this page as whoever starts the hub does. @returns its address below the hub's */
  async exampleTest(page: Page): Promise<string> {
    await page.goto(this.address);
    await page.getByRole("button", { name: /example test/i }).click();
    await page.waitForURL(/\/tests\//);
    await page.getByRole("heading", { name: /Wave \d, set/ }).waitFor();
    return /\/tests\/[^/]+/.exec(page.url())?.[0] ?? "";
  }

  /** Somebody's own tablet: a browser context that shares nothing with another. */
  async tablet(whose: string, viewport = LANDSCAPE): Promise<Page> {
    const context = await this.#browser.newContext({
      viewport,
      hasTouch: true,
      reducedMotion: "reduce",
      acceptDownloads: true,
      locale: "en-GB",
    });
    context.setDefaultTimeout(15_000);
    this.#contexts.push(context);
    context.on("console", (message) => {
      if (message.type() !== "error") return;
      const isLost = /ERR_(CONNECTION|INTERNET|NETWORK|SOCKET)|WebSocket/.test(message.text());
      if (isLost && !this.#isHubExpected) return;
      this.complaints.push(`${whose}: console: ${message.text()}`);
    });
    context.on("weberror", (error) =>
      this.complaints.push(`${whose}: threw: ${error.error().message}`),
    );
    context.on("request", (request) => {
      const { protocol, host } = new URL(request.url());
      if (/^(data|blob):$/.test(protocol) || host === new URL(this.address).host) return;
      this.complaints.push(`${whose}: asked outside the hall: ${request.url()}`);
    });
    // A board is deaf for a moment after it changed and refuses the click: whoever taps must know, to tap again.
    await context.addInitScript(() => {
      const heard = (click: Event) => {
        const { dataset } = document.documentElement;
        const tap = Number(dataset.taps ?? 0) + 1;
        dataset.taps = `${tap}`;
        // Whatever listens has listened by then.
        setTimeout(() => {
          dataset.answer = `${tap} ${click.defaultPrevented ? "refused" : "taken"}`;
        });
      };
      addEventListener("click", heard, true);
    });
    return this.#page(context);
  }

  /** The app is gone from this tablet's memory; what it keeps on its disk is all that is left. */
  async opensAgain(page: Page): Promise<Page> {
    const context = page.context();
    await page.close();
    this.#cables.delete(page);
    return this.#page(context);
  }

  async #page(context: BrowserContext): Promise<Page> {
    const page = await context.newPage();
    // Going offline leaves an open socket open in Chromium, so its cable is led through here, to be cut.
    await page.routeWebSocket(/\/api\/sync$/, (socket) => {
      if (this.#cut.has(page)) return void socket.close();
      socket.connectToServer();
      this.#cables.set(page, socket);
    });
    return page;
  }

  /** This tablet has no network from now on, until it is mended. */
  async cutOff(page: Page): Promise<void> {
    this.#isHubExpected = false;
    this.#cut.add(page);
    await page.context().setOffline(true);
    await this.#cables.get(page)?.close();
  }
  async mend(page: Page): Promise<void> {
    this.#cut.delete(page);
    await page.context().setOffline(false);
  }

  /** What the hub has on its disk, as `evenhand export` gives it: a scorebook file. */
  async exported(): Promise<{ entries: { id: string; kind: string; by: string }[] }> {
    const command = evenhand("export", "--data", this.#data, "--json");
    const chunks: Buffer[] = [];
    command.stdout?.on("data", (chunk: Buffer) => chunks.push(chunk));
    const [code] = (await once(command, "close")) as [number];
    if (code !== 0) throw new Error(`Hall.exported: export ended with ${code}`);
    return JSON.parse(Buffer.concat(chunks).toString("utf8"));
  }

  /** For eyes: a picture of every tablet in the folder named by HALL_PICTURES. */
  async #pictures(): Promise<void> {
    const folder = process.env.HALL_PICTURES;
    if (!folder) return;
    const pages = this.#contexts.flatMap((context) => context.pages());
    for (const [at, page] of pages.entries())
      await page.screenshot({ path: join(folder, `tablet-${at}.png`) });
  }

  /** The same, once the hub has as many lines of the kinds that judges write; what is there after a while, if it never has. */
  async exportedWith(lines: number): Promise<Awaited<ReturnType<Hall["exported"]>>> {
    for (const until = Date.now() + 20_000; ; ) {
      const file = await this.exported();
      const judged = file.entries.filter(({ kind }) =>
        /^(mark|faults|overall|locked|answered)$/.test(kind),
      );
      if (judged.length >= lines || Date.now() > until) return file;
    }
  }

  async close(): Promise<void> {
    await this.#pictures();
    for (const context of this.#contexts) await context.close();
    await this.#browser.close();
    await ended(this.#hub, "SIGTERM");
    rmSync(this.folder, { recursive: true, force: true });
  }

  get #data(): string {
    return join(this.folder, "data");
  }
}

function evenhand(...args: string[]): ChildProcess {
  return spawn(process.execPath, ["src/command-line/evenhand.mjs", ...args], {
    stdio: ["ignore", "pipe", "inherit"],
  });
}

async function firstLine(child: ChildProcess): Promise<string> {
  let said = "";
  for await (const chunk of child.stdout ?? []) {
    said += String(chunk);
    if (said.includes("\n")) {
      // Reading on, so that the hub never waits for a full pipe.
      child.stdout?.resume();
      return said.slice(0, said.indexOf("\n"));
    }
  }
  throw new Error("firstLine: the hub ended before it said where it listens");
}

async function ended(child: ChildProcess | undefined, signal: NodeJS.Signals): Promise<void> {
  if (!child || child.exitCode !== null || child.signalCode !== null) return;
  const gone = once(child, "exit");
  child.kill(signal);
  await gone;
}
