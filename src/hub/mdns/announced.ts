import type { Clock } from "../../ports/clock.ts";
import { openHallLines } from "./hall-lines.ts";
import { HallName } from "./hall-name.ts";

/** Networks come and go while a hub runs. */
const LOOK_EVERY_MS = 60_000;
/** Who waits for the name to print it does not wait longer. */
const PATIENCE_MS = 3_000;

interface AnnouncedSettings {
  /** This machine's addresses at which the hub is to be found, now. */
  addresses: () => readonly string[];
  ports: { http: number; https: number | undefined };
  clock: Clock;
  onName: (name: string) => void;
  /** Another than that of RFC 6762, to be left alone by. */
  port?: number | undefined;
}

/** The hub's name in every network the machine is in, as these come and go; where none can be spoken to there is no name, and the hub does without. */
export class Announced {
  readonly #settings: AnnouncedSettings;
  readonly #stop: () => void;
  #hallName: HallName | undefined;
  #at = "";
  #isOver = false;
  #tellFirst: (name: string | undefined) => void = () => undefined;
  /** Its name by now. */
  name: string | undefined;
  /** Its first name, soon; undefined where none was to be had by then. */
  readonly first: Promise<string | undefined>;

  constructor(settings: AnnouncedSettings) {
    this.#settings = settings;
    this.first = new Promise((resolve) => {
      this.#tellFirst = resolve;
    });
    const tire = settings.clock.after(PATIENCE_MS, () => this.#tellFirst(undefined));
    void this.first.then(tire);
    const look = () => void this.#look().catch(() => undefined);
    look();
    this.#stop = settings.clock.every(LOOK_EVERY_MS, look);
  }

  close(): void {
    this.#isOver = true;
    this.#stop();
    this.#tellFirst(undefined);
    this.#hallName?.close();
  }

  async #look(): Promise<void> {
    const { addresses, clock, ports, onName, port } = this.#settings;
    const at = [...addresses()].sort().join();
    if (at === this.#at) return;
    this.#at = at;
    this.#hallName?.close();
    this.#hallName = undefined;
    this.name = undefined;
    const lines = await openHallLines((address) => at.split(",").includes(address), port);
    if (this.#isOver || at !== this.#at) {
      for (const line of lines) line.close();
      return;
    }
    if (lines.length === 0) {
      // Tried again at the next look: whoever kept the port to themselves may be gone by then.
      this.#at = "";
      this.#tellFirst(undefined);
      return;
    }
    this.#hallName = new HallName({
      lines,
      ports,
      clock,
      chance: Math.random,
      onName: (name) => {
        this.name = name;
        this.#tellFirst(name);
        onName(name);
      },
    });
  }
}
