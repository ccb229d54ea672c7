import { v7 as uuidv7 } from "uuid";
import WebSocket from "ws";
import { readEntry } from "../belt-test/scorebook/entry.ts";
import { Pen } from "../belt-test/scorebook/pen.ts";
import { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { CountId, DeviceId, GradingId, PersonId } from "../book/identity.ts";
import { FromHub, type FromTablet, MAX_BATCH, PROTOCOL } from "../line/protocol.ts";

interface TabletSettings {
  url: string;
  token: string;
  grading: GradingId;
  person: PersonId;
  device: DeviceId;
  /** What this device has written already, by count. */
  last: ReadonlyMap<CountId, number>;
}

/** A tablet without a screen: speaks to the hub as a real one does, keeps its outbox in memory, and comes back when the line drops. */
export class SimulatedTablet {
  readonly book = new Scorebook();
  readonly pen: Pen;
  readonly #settings: TabletSettings;
  readonly #outbox = new Map<string, AnyEntry>();
  readonly #hears: ((entry: AnyEntry) => void)[] = [];
  #socket: WebSocket | undefined;
  #cursor = 0;
  #upTo = 0;
  #feed: string | undefined;
  #isWelcome = false;
  #isClosed = false;

  constructor(settings: TabletSettings) {
    this.#settings = settings;
    const { grading, person, device, last } = settings;
    this.pen = new Pen({ grading, person, device, last, makeId: uuidv7, nowMs: Date.now });
    this.#connect();
  }

  get unsent(): number {
    return this.#outbox.size;
  }
  /** Whether everything is here that there was at the welcome. */
  get isCaughtUp(): boolean {
    return this.#isWelcome && this.#cursor >= this.#upTo;
  }
  onHear(listener: (entry: AnyEntry) => void): void {
    this.#hears.push(listener);
  }
  write(make: (pen: Pen) => AnyEntry): AnyEntry {
    const entry = make(this.pen);
    this.book.add(entry);
    this.#outbox.set(entry.id, entry);
    if (this.#isWelcome) this.#send({ frame: "append", entries: [entry] });
    return entry;
  }
  pace(count: number): void {
    if (this.#isWelcome) this.#send({ frame: "pace", count });
  }
  close(): void {
    this.#isClosed = true;
    this.#socket?.close();
  }

  #connect(): void {
    const socket = new WebSocket(this.#settings.url);
    this.#socket = socket;
    const { token, grading, device } = this.#settings;
    socket.on("open", () =>
      this.#send({
        frame: "hello",
        protocol: PROTOCOL,
        token,
        grading,
        device,
        cursor: this.#cursor,
        ...(this.#feed ? { feed: this.#feed } : {}),
      }),
    );
    socket.on("message", (data) => {
      const frame = FromHub.safeParse(JSON.parse(String(data)));
      if (frame.success) this.#hear(frame.data);
    });
    socket.on("error", () => undefined);
    socket.on("close", () => {
      this.#isWelcome = false;
      if (!this.#isClosed) setTimeout(() => this.#connect(), 500).unref();
    });
  }
  #send(frame: FromTablet): void {
    if (this.#socket?.readyState === WebSocket.OPEN) this.#socket.send(JSON.stringify(frame));
  }
  #hear(frame: FromHub): void {
    if (frame.frame === "welcome") {
      this.#isWelcome = true;
      this.#feed = frame.feed;
      this.#upTo = frame.upTo ?? 0;
      if (!frame.resumed) this.#cursor = 0;
      const waiting = [...this.#outbox.values()];
      for (let start = 0; start < waiting.length; start += MAX_BATCH)
        this.#send({ frame: "append", entries: waiting.slice(start, start + MAX_BATCH) });
    }
    if (frame.frame === "ack") for (const id of frame.ids) this.#outbox.delete(id);
    if (frame.frame === "bye") this.#isClosed = true;
    if (frame.frame === "entries") {
      this.#cursor = frame.cursor;
      for (const json of frame.entries) {
        const read = readEntry(json);
        if (!read.ok || !this.book.add(read.entry)) continue;
        this.pen.hear(read.entry.lamport);
        for (const hears of this.#hears) hears(read.entry);
      }
    }
  }
}
