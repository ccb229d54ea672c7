import type { WebSocket } from "@fastify/websocket";
import { describe, expect, it } from "vitest";
import type { FrontDesk } from "../../src/hub/door/front-desk.ts";
import type { Halls } from "../../src/hub/hall/halls.ts";
import { Talk } from "../../src/hub/routes/sync.ts";
import { PROTOCOL } from "../../src/line/protocol.ts";
import type { Clock } from "../../src/ports/clock.ts";

const never = () => new Promise<never>(() => undefined);
const settled = () => new Promise((done) => setTimeout(done, 5));

/** A hub that is busy: its timers come when the test lets them, and what was sent lies in the socket until then. */
function aBusyHub() {
  const due: (() => void)[] = [];
  const clock: Clock = {
    nowMs: () => 0,
    steadyMs: () => 0,
    after(_, work) {
      due.push(work);
      return () => undefined;
    },
    every: () => () => undefined,
  };
  const closed: number[] = [];
  const hears = new Map<string, (data: string) => void>();
  const socket = {
    on: (name: string, hear: (data: string) => void) => void hears.set(name, hear),
    close: (code: number) => void closed.push(code),
    readyState: 1,
    OPEN: 1,
  } as unknown as WebSocket;
  const desk = { admitted: never } as unknown as FrontDesk;
  new Talk(socket, desk, {} as Halls, clock, () => undefined).begin();
  return {
    closed,
    timers: () => {
      for (const work of due.splice(0)) work();
    },
    hello: () =>
      hears.get("message")?.(
        JSON.stringify({
          frame: "hello",
          protocol: PROTOCOL,
          token: "t".repeat(43),
          grading: "grading-1",
          device: "d",
          cursor: 0,
        }),
      ),
  };
}

describe("a line that says who it is", () => {
  it("[H5] in time keeps its line, however long the hub was reading a book meanwhile", async () => {
    const { timers, hello, closed } = aBusyHub();
    // The time for a hello is over before the hub has come to look at what was sent in time.
    timers();
    hello();
    await settled();
    timers();
    expect(closed).toEqual([]);
  });

  it("[H5] not at all is hung up on", async () => {
    const { timers, closed } = aBusyHub();
    timers();
    await settled();
    timers();
    expect(closed).toEqual([1008]);
  });
});
