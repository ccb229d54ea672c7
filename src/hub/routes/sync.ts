import type { WebSocket } from "@fastify/websocket";
import type { FastifyPluginAsync } from "fastify";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { DeviceId } from "../../book/identity.ts";
import { FromTablet, MAX_BATCH, PROTOCOL } from "../../line/protocol.ts";
import type { Clock } from "../../ports/clock.ts";
import type { Crowd } from "../door/crowd.ts";
import { opensTo } from "../door/doorkeeper.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { LINE_PATH } from "../door/refused-upgrade.ts";
import { TokenBucket } from "../door/token-bucket.ts";
import type { Hall } from "../hall/hall.ts";
import type { Halls } from "../hall/halls.ts";
import { Line } from "../hall/line.ts";

/** A line that says nothing for this long is dead, whatever the socket believes. */
const SILENCE_MS = 15_000;
const PING_MS = 5_000;
/** Somebody who opens a line and does not say who it is. */
const HELLO_WITHIN_MS = 5_000;
/** Far above any hall: a tablet back from an hour without network sends ten full frames. */
const FRAMES = { most: 400, aSecond: 60 };
const ENTRIES = { most: 20_000, aSecond: 1_000 };
const MALFORMED_MOST = 20;
/** The longest hello there can be; of somebody who has not said it nothing longer is read. */
const HELLO_BYTES = 2_000;
/** What may lie here unread while a book is being opened. */
const UNREAD_BYTES = 16 * 1024 * 1024;

/** GET /api/sync: the one line between a tablet and the hub. It opens to anybody, since a browser sends no header with it: the token comes in the hello. */
export function syncRoute({
  desk,
  halls,
  clock,
  crowd,
}: {
  desk: FrontDesk;
  halls: Halls;
  clock: Clock;
  crowd: Crowd;
}): FastifyPluginAsync {
  return async (hub) => {
    hub.get(LINE_PATH, { websocket: true, ...opensTo("anybody") }, (socket, request) => {
      const ends = request.raw.socket;
      const talk = new Talk(
        socket,
        desk,
        halls,
        clock,
        (error) => request.log.error(error),
        (device, hangUp) => crowd.isIn(ends, device, hangUp),
      );
      talk.begin();
    });
  };
}

/** One socket from its first word to its last. */
export class Talk {
  readonly #socket: WebSocket;
  readonly #desk: FrontDesk;
  readonly #halls: Halls;
  readonly #clock: Clock;
  readonly #logError: (error: unknown) => void;
  /** Told of a device that is in; gives what to call when its line is gone. */
  readonly #onIn: (device: DeviceId, hangUp: () => void) => () => void;
  #left: (() => void) | undefined;
  readonly #frames: TokenBucket;
  readonly #entries: TokenBucket;
  #hasSaidHello = false;
  #line: Line | undefined;
  #hall: Hall | undefined;
  #malformed = 0;
  /** Letters of the frames that wait to be taken. */
  #unread = 0;
  #heardAtMs: number;
  #isGone = false;
  /** Frames are taken one after another, so that a batch never overtakes the hello before it. */
  #taking: Promise<void> = Promise.resolve();

  constructor(
    socket: WebSocket,
    desk: FrontDesk,
    halls: Halls,
    clock: Clock,
    logError: (error: unknown) => void,
    onIn: (device: DeviceId, hangUp: () => void) => () => void = () => () => undefined,
  ) {
    this.#onIn = onIn;
    this.#socket = socket;
    this.#desk = desk;
    this.#halls = halls;
    this.#clock = clock;
    this.#logError = logError;
    this.#heardAtMs = clock.steadyMs();
    this.#frames = new TokenBucket(FRAMES.most, FRAMES.aSecond, clock.steadyMs());
    this.#entries = new TokenBucket(ENTRIES.most, ENTRIES.aSecond, clock.steadyMs());
  }

  begin(): void {
    let helloIsHere = this.#clock.after(HELLO_WITHIN_MS, () => {
      // A hub that has just read a long book comes to its timers before its sockets: what lies there counts.
      helloIsHere = this.#clock.after(0, () => {
        if (!this.#hasSaidHello) this.#socket.close(1008);
      });
    });
    const stopBeating = this.#clock.every(PING_MS, () => {
      const isSilent = () => this.#clock.steadyMs() - this.#heardAtMs > SILENCE_MS;
      // As at the hello: what lies in the socket of a hub that was busy is heard first.
      if (isSilent()) this.#clock.after(0, () => isSilent() && this.#socket.terminate());
      else if (this.#socket.readyState === this.#socket.OPEN) this.#socket.ping();
    });
    this.#socket.on("pong", () => {
      this.#heardAtMs = this.#clock.steadyMs();
    });
    this.#socket.on("message", (data, isBinary) => {
      this.#heardAtMs = this.#clock.steadyMs();
      const text = isBinary ? "" : String(data);
      this.#unread += text.length;
      if (this.#unread > UNREAD_BYTES) return this.#socket.terminate();
      this.#taking = this.#taking
        .then(() => {
          this.#unread -= text.length;
          return this.#take(text);
        })
        .catch((error) => {
          this.#logError(error);
          this.#socket.close(1011);
        });
    });
    this.#socket.on("error", () => this.#socket.terminate());
    this.#socket.on("close", () => {
      this.#isGone = true;
      helloIsHere();
      stopBeating();
      this.#left?.();
      if (this.#line) this.#hall?.leave(this.#line);
    });
  }

  async #take(text: string): Promise<void> {
    if (this.#isGone) return;
    const now = this.#clock.steadyMs();
    // Too fast is no crime: hang up, and the tablet comes back with what it still holds.
    if (!this.#frames.take(1, now)) return this.#socket.close(1013);
    if (!this.#line && text.length > HELLO_BYTES) return this.#socket.close(1008);
    const frame = readFrame(text);
    if ("fault" in frame) return this.#malformedFrame(frame.fault);
    if (frame.frame === "hello") return this.#hello(frame);
    const line = this.#line;
    if (!line || !this.#hall)
      return this.#malformedFrame({ code: "FRAME_MALFORMED", with: { path: "frame" } });
    if (line.isOver) return;
    switch (frame.frame) {
      case "append": {
        if (!this.#entries.take(frame.entries.length, now)) return this.#socket.close(1013);
        this.#hall.shout(line, frame.entries);
        // Not waited for: what comes meanwhile joins the same commit.
        void this.#append(line, frame.entries, frame.sides ?? []);
        return;
      }
      case "floor":
        return this.#hall.shout(line, [frame.entry]);
      case "holding":
        line.holding(frame.unsent);
        return this.#hall.heard(line);
      case "pace":
        if (line.leads) this.#hall.pace(line, frame.count);
        else
          line.say({
            frame: "refuse",
            id: null,
            fault: { code: "ROLE_MISSING", with: { kind: "pace" } },
          });
        return;
      case "door-answer":
        return this.#answered(line, frame.device, frame.yes);
      case "ping":
        return line.say({ frame: "pong" });
      default:
        frame satisfies never;
    }
  }

  async #hello(hello: Extract<FromTablet, { frame: "hello" }>): Promise<void> {
    this.#hasSaidHello = true;
    if (hello.protocol !== PROTOCOL)
      return this.#bye({
        code: "VERSION_UNKNOWN",
        with: { version: `${hello.protocol}, ${PROTOCOL}` },
      });
    if (this.#line)
      return this.#malformedFrame({ code: "FRAME_MALFORMED", with: { path: "frame" } });
    try {
      await this.#desk.admitted(hello.token, hello.grading, hello.device);
      const { room, hall, hubs } = await this.#halls.hall(hello.grading);
      if (this.#isGone) return;
      // Asked again: somebody may have been sent out while the book was being read.
      const { grading, token, device } = hello;
      const { who, own } = await this.#desk.admittedNow(token, grading, device);
      if (this.#isGone) return;
      if (!this.#halls.isHearing) return this.#socket.close(1013);
      const { feed, cursor, link, lamport = 0 } = hello;
      room.hasHeard(who, lamport);
      await room.lookForLost(who, { feed, cursor, link });
      if (this.#isGone) return;
      this.#hall = hall;
      this.#line = new Line(this.#socket, room, who, { feed, cursor, link }, own);
      const line = this.#line;
      this.#left = this.#onIn(device, () => line.hangUp());
      hall.enter(this.#line);
      this.#line.sayHubs(hubs);
    } catch (error) {
      if (!(error instanceof FaultError)) throw error;
      // A store that is away comes back; a wrong token does not.
      if (error.fault.code.startsWith("STORE_")) return this.#socket.close(1013);
      this.#bye(error.fault);
    }
  }

  /** Acknowledges after the commit, in the order of the batches; other people's lines do not wait for it. */
  async #append(
    line: Line,
    entries: readonly unknown[],
    sides: Parameters<Line["handIn"]>[1],
  ): Promise<void> {
    try {
      const { kept, refused } = await line.handIn(entries, sides);
      for (let start = 0; start < kept.length; start += MAX_BATCH) {
        const ids = kept.slice(start, start + MAX_BATCH);
        line.say({ frame: "ack", ids, receipts: this.#hall?.room.receiptsFor(ids) });
      }
      for (const { id, fault } of refused) line.say({ frame: "refuse", id, fault });
      const { room } = this.#hall ?? {};
      const waits = line.leads ? (room?.erasedWaits ?? room?.unswept) : undefined;
      if (waits) line.say({ frame: "refuse", id: null, fault: waits });
    } catch (error) {
      if (!(error instanceof FaultError)) this.#logError(error);
      const fault: Fault = error instanceof FaultError ? error.fault : { code: "STORE_LOST" };
      line.say({ frame: "refuse", id: null, fault: { code: fault.code } });
      // What of the batch is not acknowledged comes again with the tablet; what of it was kept is known then.
      line.hangUp();
    }
  }

  async #answered(line: Line, device: DeviceId, isYes: boolean): Promise<void> {
    try {
      await this.#hall?.answered(line.who, device, isYes);
    } catch (error) {
      if (!(error instanceof FaultError)) throw error;
      line.say({ frame: "refuse", id: null, fault: error.fault });
    }
  }

  #malformedFrame(fault: Fault): void {
    if (++this.#malformed > MALFORMED_MOST) this.#socket.close(1008);
    else this.#say({ frame: "refuse", id: null, fault });
  }
  #bye(fault: Fault): void {
    this.#say({ frame: "bye", fault });
    this.#socket.close(1008, fault.code);
  }
  #say(frame: object): void {
    if (this.#socket.readyState === this.#socket.OPEN) this.#socket.send(JSON.stringify(frame));
  }
}

function readFrame(text: string): FromTablet | { fault: Fault } {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { fault: { code: "FRAME_MALFORMED", with: { path: "" } } };
  }
  const read = FromTablet.safeParse(json);
  if (read.success) return read.data;
  const path = (read.error.issues[0]?.path ?? []).join(".");
  return { fault: { code: "FRAME_MALFORMED", with: { path } } };
}
