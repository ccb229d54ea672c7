import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const evenhand = "src/command-line/evenhand.mjs";

/** What a door answers. */
export interface Answer {
  status: number;
  json: Record<string, unknown>;
}

/** The real program, started as a school starts it, and asked over HTTP by somebody who shares no code with it. */
export class ARealHub {
  readonly folder = mkdtempSync(join(tmpdir(), "evenhand-raw-"));
  port = 0;
  /** As printed at the start; undefined where none is. */
  key: string | undefined;
  #child: ChildProcess | undefined;
  readonly #store: readonly string[];

  private constructor(store?: string) {
    this.#store = store ? ["--store", store] : [];
  }
  /** @param store  the address of a database that hubs share; otherwise a folder. */
  static async start(more: { store?: string } = {}): Promise<ARealHub> {
    const hub = new ARealHub(more.store);
    await hub.startAgain();
    return hub;
  }
  async startAgain(...options: string[]): Promise<void> {
    const args = ["serve", "--data", this.folder, "--port", String(this.port), ...this.#store];
    const plain = ["--host", "127.0.0.1", "--plain", "--unnamed", "--json"];
    const child = spawn(process.execPath, [evenhand, ...args, ...plain, ...options], {
      cwd: root,
      stdio: ["ignore", "pipe", "ignore"],
    });
    this.#child = child;
    const said = await new Promise<string>((resolve, reject) => {
      child.stdout?.once("data", (data) => resolve(String(data)));
      child.once("exit", (code) => reject(new Error(`ARealHub: ended with ${code}`)));
    });
    const { port, key } = JSON.parse(said) as { port: number; key?: string };
    this.port = port;
    this.key = key;
  }
  async stop(): Promise<void> {
    const child = this.#child;
    if (!child || child.exitCode !== null || child.signalCode !== null) return;
    const gone = once(child, "exit");
    child.kill("SIGTERM");
    await gone;
  }
  async end(): Promise<void> {
    await this.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }

  get line(): string {
    return `ws://127.0.0.1:${this.port}/api/sync`;
  }
  async ask(
    method: "GET" | "POST",
    path: string,
    more: { token?: string; body?: object } = {},
  ): Promise<Answer> {
    const answer = await fetch(`http://127.0.0.1:${this.port}${path}`, {
      method,
      headers: {
        ...(more.token ? { authorization: `Bearer ${more.token}` } : {}),
        ...(more.body ? { "content-type": "application/json" } : {}),
      },
      ...(more.body ? { body: JSON.stringify(more.body) } : {}),
    });
    const text = await answer.text();
    const isJson = answer.headers.get("content-type")?.includes("json") ?? false;
    return { status: answer.status, json: isJson ? JSON.parse(text) : {} };
  }
  /** Whoever types the key. */
  async claim(device: string, key = this.key): Promise<string> {
    const { json } = await this.ask("POST", "/api/claim", { body: { key, device } });
    return String(json.token);
  }
  /** Another command of the program. @returns what it printed, and its exit code. */
  async command(...args: string[]): Promise<{ out: string; code: number | null }> {
    const place = ["--data", this.folder, ...this.#store];
    const child = spawn(process.execPath, [evenhand, ...args, ...place], {
      cwd: root,
      stdio: ["ignore", "pipe", "ignore"],
    });
    let out = "";
    child.stdout.on("data", (data) => {
      out += String(data);
    });
    const [code] = (await once(child, "close")) as [number | null];
    return { out, code };
  }
}
