import { WebSocket } from "ws";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, GradingId } from "../../src/book/identity.ts";
import { type FromHub, type FromTablet, PROTOCOL } from "../../src/line/protocol.ts";

type Frame<Name extends FromHub["frame"]> = Extract<FromHub, { frame: Name }>;

/** A tablet that is only a socket: it says what it is told to, and keeps every byte it hears. */
export class ATablet {
  /** Every frame as it came over the wire. */
  readonly raw: string[] = [];
  readonly #socket: WebSocket;
  readonly #waiting = new Set<() => void>();
  readonly #listeners = new Set<(frame: FromHub) => void>();
  isClosed = false;
  closeCode = 0;

  private constructor(url: string, headers: Record<string, string>) {
    this.#socket = new WebSocket(url, { headers });
    this.#socket.on("message", (data) => {
      this.raw.push(String(data));
      if (this.#listeners.size > 0) {
        const frame = JSON.parse(String(data)) as FromHub;
        for (const listener of this.#listeners) listener(frame);
      }
      this.#wake();
    });
    this.#socket.on("close", (code) => {
      this.isClosed = true;
      this.closeCode = code;
      this.#wake();
    });
    this.#socket.on("error", () => undefined);
  }

  /** A line that is open and has said nothing. */
  static async dial(address: string, headers: Record<string, string> = {}): Promise<ATablet> {
    const tablet = new ATablet(`${address.replace("http", "ws")}/api/sync`, headers);
    await tablet.until(
      () => tablet.isClosed || tablet.#socket.readyState === WebSocket.OPEN,
      "the line",
    );
    return tablet;
  }
  /** A line that has said hello; welcome is not waited for. */
  static async join(
    address: string,
    who: {
      token: string;
      grading: GradingId;
      device: DeviceId;
      feed?: string;
      cursor?: number;
      link?: string;
    },
  ): Promise<ATablet> {
    const tablet = await ATablet.dial(address);
    tablet.say({ frame: "hello", protocol: PROTOCOL, cursor: 0, ...who });
    return tablet;
  }

  say(frame: FromTablet): void {
    this.sayText(JSON.stringify(frame));
  }
  sayText(text: string): void {
    this.#socket.send(text);
  }
  append(...entries: AnyEntry[]): void {
    this.say({ frame: "append", entries });
  }
  /** Gone without a word, as with a battery. */
  drop(): void {
    this.#socket.terminate();
  }

  /** Hears every frame as it comes. @returns a function that stops listening. */
  onFrame(listener: (frame: FromHub) => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  /** Reads nothing for a while, as a tablet in a bag. */
  sleep(): void {
    this.#socket.pause();
  }
  wake(): void {
    this.#socket.resume();
  }

  frames<Name extends FromHub["frame"]>(name: Name): Frame<Name>[] {
    return this.raw
      .map((text) => JSON.parse(text) as FromHub)
      .filter((frame): frame is Frame<Name> => frame.frame === name);
  }
  get entries(): AnyEntry[] {
    return this.frames("entries").flatMap(({ entries }) => entries as AnyEntry[]);
  }
  get ids(): string[] {
    return this.entries.map(({ id }) => id);
  }
  get acknowledged(): string[] {
    return this.frames("ack").flatMap(({ ids }) => ids);
  }
  get refused(): [string | null, string][] {
    return this.frames("refuse").map(({ id, fault }) => [id, fault.code]);
  }

  async until(isSo: () => boolean, what = isSo.toString(), withinMs = 4000): Promise<void> {
    const end = Date.now() + withinMs;
    while (!isSo()) {
      const left = end - Date.now();
      if (left <= 0) throw new Error(`waited in vain for ${what}; heard ${this.raw.join("\n")}`);
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, Math.min(left, 50));
        this.#waiting.add(() => {
          clearTimeout(timer);
          resolve();
        });
      });
    }
  }
  /** Waits until the hub has answered everything said so far. */
  async settled(): Promise<void> {
    const before = this.frames("pong").length;
    this.say({ frame: "ping" });
    await this.until(() => this.isClosed || this.frames("pong").length > before, "a pong");
  }

  #wake(): void {
    for (const resolve of this.#waiting) resolve();
    this.#waiting.clear();
  }
}
