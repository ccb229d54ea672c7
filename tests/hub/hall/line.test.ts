import type { WebSocket } from "@fastify/websocket";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { TokenBucket } from "../../../src/hub/door/token-bucket.ts";
import { Line } from "../../../src/hub/hall/line.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { FromHub, MAX_BATCH } from "../../../src/line/protocol.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

/** A socket whose other side reads only when told to. */
class SlowSocket {
  readonly OPEN = 1;
  readyState = 1;
  bufferedAmount = 0;
  isCut = false;
  readonly sent: string[] = [];
  #done: (() => void)[] = [];
  send(text: string, done: () => void): void {
    this.sent.push(text);
    this.bufferedAmount += text.length;
    this.#done.push(done);
  }
  read(): void {
    this.bufferedAmount = 0;
    for (const done of this.#done.splice(0)) done();
  }
  terminate(): void {
    this.isCut = true;
    this.readyState = 3;
  }
  get entries(): number {
    return this.sent.filter((text) => text.startsWith('{"frame":"entries"')).length;
  }
}

async function aRoom(calls: number) {
  const day = aTestDay({ judges: 1 });
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
  const author = { person: "chief" as PersonId, roles: ["chief"] as const };
  const call = { wave: 1, section: anId("blocks"), item: null, side: null };
  const called = Array.from({ length: calls }, () => day.chief.write("called", call));
  const device = "chief-tablet" as DeviceId;
  await room.handIn({ ...author, device }, [...day.plan, ...called]);
  return room;
}
const judge = {
  grading: aGradingId,
  device: "judge-1-tablet" as DeviceId,
  person: "judge-1" as PersonId,
  roles: ["judge"] as const,
};
const afresh = { feed: undefined, cursor: 0 };

describe("a line to a slow tablet", () => {
  it("[H19] sends no more than the tablet reads, and all of it in the end", async () => {
    const room = await aRoom(5000);
    const socket = new SlowSocket();
    new Line(socket as unknown as WebSocket, room, judge, afresh);
    const first = socket.entries;
    const bytes = socket.bufferedAmount;
    expect(bytes).toBeLessThan(512 * 1024);
    for (let time = 0; time < 50; time++) socket.read();
    expect(socket.entries).toBeGreaterThan(first);
    expect(JSON.parse(socket.sent.at(-1) ?? "{}").cursor).toBe(room.feed(judge).length);
    const all = socket.sent.flatMap((text) => JSON.parse(text).entries ?? []);
    expect(new Set(all.map(({ id }: { id: string }) => id)).size).toBe(room.feed(judge).length);
  });

  it("[H19] counts what goes beside the lines too: the longest reasons there may be are no frame that cuts a tablet off", async () => {
    const day = aTestDay({ judges: 1 });
    const store = openMemoryScorebook();
    const text = "x".repeat(60_000);
    const notes = Array.from({ length: 100 }, () => {
      const { ref, record } = makeSideRecord(
        { grading: aGradingId, about: "chief" as PersonId, kind: "text", body: { text } },
        { random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)) },
      );
      return { record, entry: day.chief.write("incident", { text: ref }) };
    });
    // As an older hub took them.
    const records = notes.map(({ record }) => record);
    await store.append(aGradingId, [...day.plan, ...notes.map(({ entry }) => entry)], records);
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const socket = new SlowSocket();
    const chief = { ...judge, person: "chief" as PersonId, roles: ["chief"] as const };
    new Line(socket as unknown as WebSocket, room, chief, afresh);
    for (let time = 0; time < 200; time++) socket.read();
    expect(Math.max(...socket.sent.map((sent) => sent.length))).toBeLessThan(512 * 1024);
    const sides = socket.sent.flatMap((sent) => JSON.parse(sent).sides ?? []);
    expect(sides.length).toBeGreaterThanOrEqual(100);
    expect(socket.isCut).toBe(false);
  });

  it("[Y8] sends a hall of many children in frames that a tablet reads, with two names beside each line", async () => {
    const day = aTestDay({ judges: 1 });
    const store = openMemoryScorebook();
    const made = Array.from({ length: 250 }, (_, at) => {
      const about = `child-${at}` as CandidateId;
      const [details, given] = [{ family: "ほし".repeat(30), given: "み" }, { given: "み" }].map(
        (body) =>
          makeSideRecord(
            { grading: aGradingId, about, kind: "candidate", body },
            { random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)) },
          ),
      ) as [ReturnType<typeof makeSideRecord>, ReturnType<typeof makeSideRecord>];
      const body = { candidate: about, number: at + 100, rubric: day.rubric.id };
      const refs = { details: details.ref, given: given.ref };
      return {
        entry: day.chief.write("entered", { ...body, ...refs }),
        records: [details.record, given.record],
      };
    });
    const entries = [...day.plan, ...made.map(({ entry }) => entry)];
    await store.append(
      aGradingId,
      entries,
      made.flatMap(({ records }) => records),
    );
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const socket = new SlowSocket();
    const chief = { ...judge, person: "chief" as PersonId, roles: ["chief"] as const };
    new Line(socket as unknown as WebSocket, room, chief, afresh);
    for (let time = 0; time < 20; time++) socket.read();
    const read = socket.sent.map((text) => FromHub.parse(JSON.parse(text)));
    const frames = read.flatMap((frame) => (frame.frame === "entries" ? [frame] : []));
    expect(Math.max(...frames.map(({ sides = [] }) => sides.length))).toBeLessThanOrEqual(
      MAX_BATCH,
    );
    expect(frames.flatMap((frame) => frame.entries)).toHaveLength(entries.length);
    expect(frames.flatMap(({ sides = [] }) => sides).length).toBeGreaterThanOrEqual(500);
  });

  it("[H19] is cut when it falls megabytes behind, so that it costs the others nothing", async () => {
    const room = await aRoom(1);
    const socket = new SlowSocket();
    const line = new Line(socket as unknown as WebSocket, room, judge, afresh);
    for (let time = 0; time < 100 && !socket.isCut; time++) {
      line.say({ frame: "pong" });
      socket.bufferedAmount += 100_000;
    }
    expect(socket.isCut).toBe(true);
    const before = socket.sent.length;
    line.say({ frame: "pong" });
    expect(socket.sent.length).toBe(before);
  });
});

describe("a cursor", () => {
  const resumedFrom = async (at: { cursor: number; link?: string }) => {
    const room = await aRoom(3);
    const socket = new SlowSocket();
    new Line(socket as unknown as WebSocket, room, judge, { feed: room.feedId(judge), ...at });
    const link = room.feed(judge).linkAt(5);
    return { link, welcome: JSON.parse(socket.sent[0] ?? "{}") };
  };

  it("[Y15] goes on at the line it was given with, and begins anew where that line is another", async () => {
    const { link } = await resumedFrom({ cursor: 0 });
    expect((await resumedFrom({ cursor: 5, link: "0".repeat(16) })).welcome.resumed).toBe(false);
    // A tablet of an earlier version has no link to show.
    expect((await resumedFrom({ cursor: 5 })).welcome.resumed).toBe(true);
    expect(link).toMatch(/^[0-9a-f]{16}$/);
  });

  it("[Y15] comes with the link of its line, and the hub's welcome says which numbers it holds", async () => {
    const room = await aRoom(3);
    const socket = new SlowSocket();
    const chief = { ...judge, person: "chief" as PersonId, device: "chief-tablet" as DeviceId };
    new Line(socket as unknown as WebSocket, room, { ...chief, roles: ["chief"] }, afresh);
    const [first, ...rest] = socket.sent.map((text) => JSON.parse(text));
    expect(first.holds).toEqual([[1, first.upTo]]);
    const { cursor, link } = rest.findLast(({ frame }) => frame === "entries");
    const at = { feed: first.feed, cursor, link };
    const again = new SlowSocket();
    new Line(again as unknown as WebSocket, room, { ...chief, roles: ["chief"] }, at);
    expect(JSON.parse(again.sent[0] ?? "{}").resumed).toBe(true);
  });
});

describe("the token bucket", () => {
  it("[H5] bears a burst, then so many a second, and never more than a burst", () => {
    const bucket = new TokenBucket(10, 2, 0);
    expect(bucket.take(10, 0)).toBe(true);
    expect(bucket.take(1, 0)).toBe(false);
    expect(bucket.take(2, 1000)).toBe(true);
    expect(bucket.take(1, 1000)).toBe(false);
    expect(bucket.take(11, 1_000_000)).toBe(false);
    expect(bucket.take(10, 1_000_000)).toBe(true);
    // A clock set back gives nothing and takes nothing.
    expect(bucket.take(1, 0)).toBe(false);
  });
});
