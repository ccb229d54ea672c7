import type { Socket } from "node:net";
import { WebSocket } from "ws";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, GradingId } from "../../src/book/identity.ts";
import { type FromHub, PROTOCOL } from "../../src/line/protocol.ts";

/** A frame holds so many entries when an outbox is sent again. */
const BATCH = 100;

/**
 * A tablet that writes, keeps what is not acknowledged, and sends that again on every new line.
 * Keeps counts only, so that a hundred of them may run for ten minutes.
 */
export class ASender {
  readonly #who: { token: string; grading: GradingId; device: DeviceId };
  readonly #address: string;
  #socket: WebSocket | undefined;
  readonly #outbox = new Map<string, { entry: AnyEntry; sentAtMs: number }>();
  readonly acknowledged = new Set<string>();
  readonly latenciesMs: number[] = [];
  readonly refused: string[] = [];
  reconnections = 0;
  /** Lines that were closed before the hub had said welcome: a tablet dials again, and so does this. */
  hungUpOn = 0;
  #bytesBefore = 0;
  /** Up to where it has heard its feed. */
  #place: { cursor: number; feed?: string; link?: string | undefined } = { cursor: 0 };

  constructor(address: string, who: { token: string; grading: GradingId; device: DeviceId }) {
    this.#address = address;
    this.#who = who;
  }

  /** Opens a line and sends what it holds. Resolves at the welcome. @throws Error when nobody says it within half a minute. */
  async connect(address = this.#address): Promise<void> {
    for (const end = performance.now() + 30_000; ; ) {
      try {
        await this.#dial(address);
        this.reconnections++;
        return;
      } catch (cause) {
        if (performance.now() > end) throw cause;
        this.hungUpOn++;
        await new Promise((done) => setTimeout(done, 200));
      }
    }
  }
  async #dial(address: string): Promise<void> {
    this.#bytesBefore += bytesOf(this.#socket);
    const socket = new WebSocket(`${address.replace("http", "ws")}/api/sync`);
    this.#socket = socket;
    socket.on("error", () => undefined);
    await new Promise<void>((resolve, reject) => {
      socket.once("open", () =>
        this.#say({ frame: "hello", protocol: PROTOCOL, ...this.#place, ...this.#who }),
      );
      socket.once("close", (code, why) =>
        reject(new Error(`ASender: the line was closed, ${code} ${String(why)}`)),
      );
      socket.on("message", (data) => {
        const text = String(data);
        const frame = JSON.parse(text) as FromHub;
        if (frame.frame === "welcome") {
          this.#place = { ...(frame.resumed ? this.#place : { cursor: 0 }), feed: frame.feed };
          this.sendAgain();
          resolve();
        } else this.#hear(frame);
      });
    });
  }

  write(...entries: AnyEntry[]): void {
    const sentAtMs = performance.now();
    for (const entry of entries) this.#outbox.set(entry.id, { entry, sentAtMs });
    this.#say({ frame: "append", entries });
  }
  /** Puts entries into the outbox and says nothing: what a tablet does that is away. */
  hold(entries: readonly AnyEntry[]): void {
    for (const entry of entries) this.#outbox.set(entry.id, { entry, sentAtMs: performance.now() });
  }
  get unsent(): number {
    return this.#outbox.size;
  }
  get held(): AnyEntry[] {
    return [...this.#outbox.values()].map(({ entry }) => entry);
  }
  /** Both ways on this and earlier lines, headers of frames and the opening of the line included. */
  get wireBytes(): number {
    return this.#bytesBefore + bytesOf(this.#socket);
  }
  get isOpen(): boolean {
    return this.#socket?.readyState === WebSocket.OPEN;
  }
  drop(): void {
    this.#socket?.terminate();
  }
  /** Reads nothing any more, and keeps its line open. */
  sleep(): void {
    this.#socket?.pause();
  }

  /** Waits until everything is acknowledged. @throws Error after `withinMs`. */
  async emptied(withinMs: number): Promise<void> {
    for (const end = performance.now() + withinMs; this.#outbox.size > 0; ) {
      if (performance.now() > end)
        throw new Error(`ASender: ${this.unsent} not acknowledged; refused ${this.refused[0]}`);
      await new Promise((done) => setTimeout(done, 5));
    }
  }

  /** Everything it holds, in order. */
  sendAgain(): void {
    const waiting = this.held;
    for (let start = 0; start < waiting.length; start += BATCH)
      this.#say({ frame: "append", entries: waiting.slice(start, start + BATCH) });
  }
  #hear(frame: FromHub): void {
    if (frame.frame === "refuse") this.refused.push(`${frame.id} ${frame.fault.code}`);
    if (frame.frame === "entries")
      this.#place = { ...this.#place, cursor: frame.cursor, link: frame.link };
    if (frame.frame !== "ack") return;
    for (const id of frame.ids) {
      const held = this.#outbox.get(id);
      if (held) this.latenciesMs.push(performance.now() - held.sentAtMs);
      this.#outbox.delete(id);
      this.acknowledged.add(id);
    }
  }
  #say(frame: object): void {
    if (!this.isOpen) return;
    this.#socket?.send(JSON.stringify(frame));
  }
}

/** `ws` keeps the socket it speaks through to itself; its counts are the only ones that know of compression. */
function bytesOf(line: WebSocket | undefined): number {
  const { _socket: socket } = (line ?? {}) as { _socket?: Socket };
  return (socket?.bytesRead ?? 0) + (socket?.bytesWritten ?? 0);
}
