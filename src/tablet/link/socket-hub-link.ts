import { FromHub } from "../../line/protocol.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import type { HubLink, OpenHubLink } from "../../ports/hub-link.ts";

/** How long until the next try, in milliseconds: doubling from half a second to eight, with jitter so that twenty tablets do not knock at once. */
export const nextTryMs = (tries: number, chance: number): number =>
  Math.min(8000, 500 * 2 ** tries) * (0.5 + chance);

/** No answer for this long means that the line only looks open: half a set of six, then the judge may step on alone. */
const SILENCE_MS = 6_000;
const PING_MS = 2_000;
/** A beat that comes later than this was kept waiting by this device, asleep or busy: that time says nothing of the hub. */
const LATE_MS = 2 * PING_MS;
/** A dial that nobody has answered for so long is given up; a browser would wait for minutes. */
const DIAL_MS = 10_000;
const DIAL_ELSEWHERE_MS = 3_000;
/** A hub that does not know this device is asked no more often. Milliseconds. */
const ELSEWHERE_MS = 10_000;
/** States of a WebSocket. */
const [CONNECTING, OPEN] = [0, 1];

/** What a line needs of the device it runs on. */
export interface LinkDevice {
  dial(url: string): WebSocket;
  clock: Clock;
  /** Uniform in [0, 1). */
  chance(): number;
  /** Tells that the network or the screen is back. @returns what stops telling. */
  onWake(listener: () => void): () => void;
}

const thisBrowser: LinkDevice = {
  dial: (url) => new WebSocket(url),
  clock: platformClock,
  chance: Math.random,
  onWake(listener) {
    addEventListener("online", listener);
    document.addEventListener("visibilitychange", listener);
    return () => {
      removeEventListener("online", listener);
      document.removeEventListener("visibilitychange", listener);
    };
  },
};

/**
 * A WebSocket to the hub that reconnects until it is closed.
 * @param urls  of all hubs that serve the same test, asked before every dial: when one is away, the next is tried.
 */
export function socketHubLink(
  urls: () => readonly string[],
  device: LinkDevice = thisBrowser,
): OpenHubLink {
  const { clock } = device;
  return ({ onFrame, onState }) => {
    let socket: WebSocket | undefined;
    let tries = 0;
    /** Dials that came to nothing, and lines that broke: each moves on to the next hub. */
    let moves = 0;
    let isClosed = false;
    let isElsewhere = false;
    let patienceMs = DIAL_MS;
    let callOff: (() => void) | undefined;
    let dialledAtMs = clock.steadyMs();
    /** When the hub was first asked for a word that has not come yet. */
    let askedAtMs: number | undefined;
    let beatAtMs = clock.steadyMs();

    function open() {
      const hubs = urls();
      patienceMs = hubs.length > 1 ? DIAL_ELSEWHERE_MS : DIAL_MS;
      socket = device.dial(hubs[moves % hubs.length] ?? "");
      dialledAtMs = clock.steadyMs();
      askedAtMs = undefined;
      const mine = socket;
      mine.onopen = () => {
        if (mine !== socket) return;
        tries = 0;
        askedAtMs = undefined;
        onState("live");
      };
      mine.onmessage = ({ data }) => {
        // One that was given up may still bring what was on its way; the next brings it again.
        if (mine !== socket) return;
        askedAtMs = undefined;
        const frame = readFrame(data);
        if (!frame) return;
        // Sent out by its own hub, it stays out. A hub that does not know this device may be another at the same address: its own comes back.
        if (frame.frame === "bye") {
          if (frame.fault.code === "NOT_ADMITTED") isClosed = true;
          else isElsewhere = true;
        }
        if (frame.frame === "welcome") isElsewhere = false;
        onFrame(frame);
      };
      mine.onclose = () => isGone(mine);
    }
    function isGone(mine: WebSocket) {
      if (mine !== socket) return;
      socket = undefined;
      if (isClosed) return onState("closed");
      onState("away");
      moves++;
      // Once round all hubs is one try: with a neighbour nobody waits for a hub that is away.
      callOff = clock.after(
        isElsewhere
          ? ELSEWHERE_MS * (0.5 + device.chance())
          : nextTryMs(Math.floor(tries++ / urls().length), device.chance()),
        open,
      );
    }
    /** Not waited for: a browser gives a hub that is silent a minute to agree that the line is closed. */
    function giveUp(mine: WebSocket) {
      mine.close();
      isGone(mine);
    }
    const stopBeating = clock.every(PING_MS, () => {
      const now = clock.steadyMs();
      const isLate = now - beatAtMs > LATE_MS;
      beatAtMs = now;
      if (socket?.readyState === CONNECTING && now - dialledAtMs > patienceMs) giveUp(socket);
      if (socket?.readyState !== OPEN) return;
      if (isLate) askedAtMs = undefined;
      if (askedAtMs !== undefined && now - askedAtMs >= SILENCE_MS) return giveUp(socket);
      askedAtMs ??= now;
      socket.send(JSON.stringify({ frame: "ping" }));
    });
    const tryNow = () => {
      const isOnIt = socket?.readyState === OPEN || socket?.readyState === CONNECTING;
      if (isClosed || isOnIt) return;
      callOff?.();
      open();
    };
    const stopWaking = device.onWake(tryNow);
    open();

    const link: HubLink = {
      send(frame) {
        if (socket?.readyState === OPEN) socket.send(JSON.stringify(frame));
      },
      again() {
        if (socket) giveUp(socket);
      },
      close() {
        isClosed = true;
        callOff?.();
        stopBeating();
        stopWaking();
        socket?.close();
      },
    };
    return link;
  };
}

/** A frame this version understands; undefined for anything else, which is left alone. */
function readFrame(data: unknown): FromHub | undefined {
  try {
    const read = FromHub.safeParse(JSON.parse(String(data)));
    return read.success ? read.data : undefined;
  } catch {
    return undefined;
  }
}
