import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { Fault } from "../../src/book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import { type RunningHub, startHub } from "../../src/hub/main.ts";
import { aGradingId } from "./a-pen.ts";
import { ATablet } from "./a-tablet.ts";

interface More {
  triesAMinute?: number;
  tabletFolder?: string;
  /** The database of several hubs. */
  store?: string;
  onTrouble?: (fault: Fault) => void;
}

/** A hub on a free port with a data folder of its own, and people who are let in. */
export class AHub {
  readonly folder = mkdtempSync(join(tmpdir(), "evenhand-hub-"));
  readonly #tokens = new Map<string, string>();
  #running: RunningHub | undefined;
  port = 0;

  static async start(more: More = {}): Promise<AHub> {
    const hub = new AHub();
    await hub.startAgain(more);
    const chief = await hub.desk.makeChief("hub-chief" as DeviceId);
    await hub.desk.makeGrading(chief.token, aGradingId, "hub-chief" as DeviceId);
    return hub;
  }
  async startAgain(more: More = {}): Promise<void> {
    this.#running = await startHub({
      port: this.port,
      host: "127.0.0.1",
      dataFolder: this.folder,
      ...more,
    });
    this.port = this.#running.port;
  }
  get desk(): RunningHub["desk"] {
    return this.#now.desk;
  }
  get rooms(): RunningHub["rooms"] {
    return this.#now.rooms;
  }
  get #now(): RunningHub {
    if (!this.#running) throw new Error("AHub: not running");
    return this.#running;
  }
  get address(): string {
    return `http://127.0.0.1:${this.port}`;
  }
  async stop(): Promise<void> {
    await this.#running?.close();
    this.#running = undefined;
  }
  async end(): Promise<void> {
    await this.stop();
    rmSync(this.folder, { recursive: true, force: true });
  }

  /** Whoever writes on this device, let in once: what a hello needs. */
  async letsIn(
    person: string,
    roles: readonly [Role, ...Role[]],
    device = `${person}-tablet`,
  ): Promise<{ token: string; grading: GradingId; device: DeviceId }> {
    let token = this.#tokens.get(device);
    if (!token) {
      const as = { name: person, person: person as PersonId, roles };
      token = (await this.desk.letIn(aGradingId, device as DeviceId, as)).token;
      this.#tokens.set(device, token);
    }
    return { token, grading: aGradingId, device: device as DeviceId };
  }

  /** Somebody's tablet, let in once, on the line and welcome. */
  async tablet(
    person: string,
    roles: readonly [Role, ...Role[]],
    { device = `${person}-tablet`, feed = "", cursor = 0, link = "" } = {},
  ): Promise<ATablet> {
    const tablet = await ATablet.join(this.address, {
      ...(await this.letsIn(person, roles, device)),
      cursor,
      ...(feed ? { feed } : {}),
      ...(link ? { link } : {}),
    });
    await tablet.until(() => tablet.isClosed || tablet.frames("welcome").length > 0, "a welcome");
    return tablet;
  }
}
