import { type ChildProcess, spawn } from "node:child_process";
import { once } from "node:events";
import { readFileSync } from "node:fs";
import { fileURLToPath } from "node:url";

const main = new URL("../../src/hub/main.ts", import.meta.url).href;
const root = fileURLToPath(new URL("../..", import.meta.url));

/** A hub in a process of its own, so that it can be killed like one, and weighed. Runs the sources: there is no shell between. */
export class AHubProcess {
  readonly #child: ChildProcess;
  /** The first thing it said. */
  readonly said: string;

  private constructor(child: ChildProcess, said: string) {
    this.#child = child;
    this.said = said;
  }

  static async start(dataFolder: string, port: number, store?: string): Promise<AHubProcess> {
    const settings = JSON.stringify({ port, host: "127.0.0.1", dataFolder, store });
    const start = `const { startHub } = await import(${JSON.stringify(main)});
      const hub = await startHub(${settings});
      process.once("SIGTERM", () => void hub.close().then(() => process.exit()));
      console.log("listening");`;
    return AHubProcess.run(["--import", "tsx", "--input-type=module", "-e", start]);
  }

  /** Any Node process that says a line when it listens. */
  static async run(args: readonly string[]): Promise<AHubProcess> {
    const child = spawn(process.execPath, args, {
      cwd: root,
      stdio: ["ignore", "pipe", "inherit"],
    });
    const said = await new Promise<string>((resolve, reject) => {
      child.stdout?.once("data", (data) => resolve(String(data).trim()));
      child.once("exit", (code) => reject(new Error(`AHubProcess: the hub ended with ${code}`)));
    });
    return new AHubProcess(child, said);
  }

  /** No warning, no goodbye. Resolves when it is gone. */
  kill(): Promise<void> {
    return this.#gone("SIGKILL");
  }
  /** Told to end, it closes its store. */
  end(): Promise<void> {
    return this.#gone("SIGTERM");
  }
  async #gone(signal: "SIGKILL" | "SIGTERM"): Promise<void> {
    if (this.#child.exitCode !== null || this.#child.signalCode !== null) return;
    const gone = once(this.#child, "exit");
    this.#child.kill(signal);
    await gone;
  }

  /** Memory it holds now, in bytes; `undefined` where the system does not tell (anything but Linux). */
  get residentBytes(): number | undefined {
    try {
      const status = readFileSync(`/proc/${this.#child.pid}/status`, "utf8");
      const [, kilobytes] = /^VmRSS:\s+(\d+) kB$/m.exec(status) ?? [];
      return kilobytes === undefined ? undefined : Number(kilobytes) * 1024;
    } catch {
      return undefined;
    }
  }

  /** Processor time it has used, in milliseconds; `undefined` where the system does not tell. */
  get processorMs(): number | undefined {
    try {
      const fields = readFileSync(`/proc/${this.#child.pid}/stat`, "utf8")
        .split(") ")[1]
        ?.split(" ");
      // User and system time, in hundredths of a second on every Linux that Node runs on.
      return (Number(fields?.[11]) + Number(fields?.[12])) * 10;
    } catch {
      return undefined;
    }
  }
}
