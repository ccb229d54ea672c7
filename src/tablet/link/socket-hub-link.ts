import type { HubLink, OpenHubLink } from "../../ports/hub-link.ts";
import { FromHub } from "../../sync/protocol.ts";

/** How long until the next try, in milliseconds: doubling from half a second to eight, with jitter so that twenty tablets do not knock at once. */
export const nextTryMs = (tries: number, chance: number): number =>
  Math.min(8000, 500 * 2 ** tries) * (0.5 + chance);

/** No word for this long means that the line only looks open: half a set of six, then the judge may step on alone. */
const SILENCE_MS = 6_000;
const PING_MS = 2_000;

/** A WebSocket to the hub that reconnects until it is closed. */
export function socketHubLink(url: string): OpenHubLink {
  return ({ onFrame, onState }) => {
    let socket: WebSocket | undefined;
    let tries = 0;
    let isClosed = false;
    let retry: ReturnType<typeof setTimeout> | undefined;
    let heard = Date.now();

    function open() {
      socket = new WebSocket(url);
      const mine = socket;
      mine.onopen = () => {
        tries = 0;
        heard = Date.now();
        onState("live");
      };
      mine.onmessage = ({ data }) => {
        heard = Date.now();
        const frame = readFrame(data);
        if (!frame) return;
        if (frame.frame === "bye") isClosed = true;
        onFrame(frame);
      };
      mine.onclose = () => {
        if (mine !== socket) return;
        if (isClosed) return onState("closed");
        onState("away");
        retry = setTimeout(open, nextTryMs(tries++, Math.random()));
      };
    }
    const heartbeat = setInterval(() => {
      if (socket?.readyState !== WebSocket.OPEN) return;
      if (Date.now() - heard > SILENCE_MS) socket.close();
      else socket.send(JSON.stringify({ frame: "ping" }));
    }, PING_MS);
    const tryNow = () => {
      if (
        isClosed ||
        socket?.readyState === WebSocket.OPEN ||
        socket?.readyState === WebSocket.CONNECTING
      )
        return;
      clearTimeout(retry);
      open();
    };
    addEventListener("online", tryNow);
    document.addEventListener("visibilitychange", tryNow);
    open();

    const link: HubLink = {
      send(frame) {
        if (socket?.readyState === WebSocket.OPEN) socket.send(JSON.stringify(frame));
      },
      close() {
        isClosed = true;
        clearTimeout(retry);
        clearInterval(heartbeat);
        removeEventListener("online", tryNow);
        document.removeEventListener("visibilitychange", tryNow);
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
