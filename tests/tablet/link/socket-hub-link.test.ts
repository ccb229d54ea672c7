import { describe, expect, it } from "vitest";
import { nextTryMs, socketHubLink } from "../../../src/tablet/link/socket-hub-link.ts";
import { Life, Timeline } from "../../world/timeline.ts";

const [CONNECTING, OPEN, CLOSING, CLOSED] = [0, 1, 2, 3];

/** A tablet's time, whose beats it may sleep through. */
class Drowsy extends Life {
  awakeAtMs = 0;
  override every(ms: number, work: () => void): () => void {
    return super.every(ms, () => {
      if (this.steadyMs() >= this.awakeAtMs) work();
    });
  }
}

/** A tablet that dials sockets nobody answers, at a time the test holds in its hand. */
function aDevice(urls: () => readonly string[] = () => ["hub"]) {
  const time = new Timeline();
  const machine = { skewMs: 0 };
  const dialled: {
    url: string;
    readyState: number;
    onopen?: () => void;
    onclose: () => void;
    closes: number;
    pings: number;
    /** A browser waits a minute for a silent hub to agree that the line is closed. */
    isFrozen: boolean;
    hears: (frame: object) => void;
    says: (frame: object) => void;
  }[] = [];
  const dial = (url: string) => {
    const socket = {
      url,
      readyState: CONNECTING,
      closes: 0,
      pings: 0,
      isFrozen: false,
      onclose: () => {},
      onmessage: (_said: { data: string }) => {},
      /** And closes the line after it. */
      says(frame: object) {
        this.hears(frame);
        this.close();
      },
      hears(frame: object) {
        this.onmessage({ data: JSON.stringify(frame) });
      },
      send() {
        this.pings++;
      },
      close() {
        this.closes++;
        this.readyState = this.isFrozen ? CLOSING : CLOSED;
        if (this.isFrozen) return;
        this.onclose();
      },
    };
    dialled.push(socket);
    return socket as unknown as WebSocket;
  };
  const clock = new Drowsy(time, machine);
  const states: string[] = [];
  const frames: string[] = [];
  socketHubLink(urls, { dial, clock, chance: () => 0.5, onWake: () => () => {} })({
    onFrame: ({ frame }) => frames.push(frame),
    onState: (state) => states.push(state),
  });
  return { time, machine, clock, dialled, states, frames };
}

describe("a line that only looks open", () => {
  it("[Y17] is given up after six silent seconds, also on a tablet whose clock is set back a day", async () => {
    const { time, machine, dialled, states } = aDevice();
    const [first] = dialled;
    if (first) first.readyState = OPEN;
    first?.onopen?.();
    machine.skewMs = -24 * 60 * 60 * 1000;
    await time.runUntil(5000);
    expect(states).toEqual(["live"]);
    await time.runUntil(9500);
    expect(first?.closes).toBe(1);
    expect(states).toEqual(["live", "away"]);
    expect(dialled.length).toBeGreaterThan(1);
  });

  const opened = (dialled: ReturnType<typeof aDevice>["dialled"]) => {
    const socket = dialled.at(-1);
    if (!socket) throw new Error("nothing was dialled");
    socket.readyState = OPEN;
    socket.onopen?.();
    return socket;
  };
  it("[Y140] is told within ten seconds of the hub's last word, whenever that was, although the browser does not close it", async () => {
    for (let lastWordMs = 0; lastWordMs < 4000; lastWordMs += 250) {
      const { time, dialled, states } = aDevice();
      const first = opened(dialled);
      first.isFrozen = true;
      await time.runUntil(lastWordMs);
      first.hears({ frame: "pong" });
      await time.runUntil(lastWordMs + 5900);
      expect(states).toEqual(["live"]);
      await time.runUntil(lastWordMs + 10_000);
      expect(states).toEqual(["live", "away"]);
      expect(dialled.length).toBeGreaterThan(1);
    }
  });

  it("[Y140] says nothing more once it is given up: what was on its way comes again on the next", async () => {
    const { time, dialled, states, frames } = aDevice();
    const first = opened(dialled);
    first.isFrozen = true;
    await time.runUntil(9000);
    opened(dialled);
    first.hears({ frame: "pace", count: 3 });
    first.onclose();
    expect(states).toEqual(["live", "away", "live"]);
    expect(frames).toEqual([]);
  });

  it("[Y141] is no silence where the device itself was asleep or busy: only what the hub was asked in vain counts", async () => {
    const { time, clock, dialled, states } = aDevice();
    const first = opened(dialled);
    for (let minute = 1; minute <= 5; minute++) {
      clock.awakeAtMs = time.nowMs + 60_000;
      await time.runUntil(time.nowMs + 60_000 + 1);
      first.hears({ frame: "pong" });
      await time.runUntil(time.nowMs + 2001);
      first.hears({ frame: "pong" });
    }
    expect(states).toEqual(["live"]);
    expect(first.pings).toBeGreaterThan(5);
  });

  it("[Y141] is kept while the hub answers, however late it does within six seconds", async () => {
    const { time, dialled, states } = aDevice();
    const first = opened(dialled);
    for (let said = 0; said < 40; said++) {
      await time.runUntil(time.nowMs + 5500);
      first.hears({ frame: "pong" });
    }
    expect(states).toEqual(["live"]);
  });

  it("[Y17] is given up when nobody answers the dial, and dialled anew", async () => {
    const { time, dialled } = aDevice();
    await time.runUntil(9000);
    expect(dialled).toHaveLength(1);
    await time.runUntil(15_000);
    expect(dialled[0]?.closes).toBe(1);
    expect(dialled).toHaveLength(2);
  });
});

describe("a hub that turns a tablet away", () => {
  const open = (socket: ReturnType<typeof aDevice>["dialled"][number] | undefined) => {
    if (socket) socket.readyState = OPEN;
    socket?.onopen?.();
  };
  it("[Y43] is asked again and again where it does not know the tablet, for it may be another's", async () => {
    const { time, dialled, states } = aDevice();
    for (let nth = 0; nth < 5; nth++) {
      open(dialled[nth]);
      dialled[nth]?.says({ frame: "bye", fault: { code: "TOKEN_WRONG" } });
      await time.runUntil(time.nowMs + 14_000);
    }
    expect(dialled).toHaveLength(6);
    open(dialled[5]);
    expect(states.at(-1)).toBe("live");
  });

  it("[Y43] is not asked again where it has sent the tablet out", async () => {
    const { time, dialled, states } = aDevice();
    open(dialled[0]);
    dialled[0]?.says({ frame: "bye", fault: { code: "NOT_ADMITTED" } });
    await time.runUntil(60_000);
    expect(dialled).toHaveLength(1);
    expect(states.at(-1)).toBe("closed");
  });
});

describe("the next try of a line that dropped", () => {
  it("waits twice as long each time, and never much longer than eight seconds", () => {
    const tries = Array.from({ length: 12 }, (_, index) => nextTryMs(index, 0.5));
    expect(tries.slice(0, 4)).toEqual([500, 1000, 2000, 4000]);
    expect(Math.max(...tries)).toBe(8000);
  });
  it("is spread, so that twenty tablets do not knock at once", () => {
    expect(nextTryMs(3, 0)).toBe(2000);
    expect(nextTryMs(3, 0.999)).toBeGreaterThan(5900);
  });
});

describe("a line to one of several hubs", () => {
  const names = (dialled: readonly { url: string }[]) => dialled.map(({ url }) => url);

  it("[Y19] goes on at the next when one does not answer, and comes round to it again", async () => {
    const { time, dialled } = aDevice(() => ["a", "b", "c"]);
    await time.runUntil(25_000);
    expect(names(dialled).slice(0, 5)).toEqual(["a", "b", "c", "a", "b"]);
    expect(dialled[0]?.closes).toBe(1);
  });

  it("[Y19] is at the neighbour within a second of losing its own, and stays there", async () => {
    const { time, dialled, states } = aDevice(() => ["a", "b"]);
    const open = (at: number) => {
      const socket = dialled[at];
      if (!socket) throw new Error(`${at} was not dialled`);
      socket.readyState = OPEN;
      socket.onopen?.();
      return socket as unknown as WebSocket;
    };
    const first = open(0);
    await time.runUntil(1000);
    first.close();
    await time.runUntil(2000);
    open(1);
    await time.runUntil(3000);
    expect(names(dialled)).toEqual(["a", "b"]);
    expect(states).toEqual(["live", "away", "live"]);
  });

  it("[Y19] knows of a hub that it was told of meanwhile", async () => {
    let hubs = ["a"];
    const { time, dialled } = aDevice(() => hubs);
    await time.runUntil(5000);
    hubs = ["a", "b"];
    await time.runUntil(14_000);
    expect(names(dialled)).toEqual(["a", "b"]);
  });
});
