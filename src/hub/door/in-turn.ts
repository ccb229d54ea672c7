import type { IncomingMessage, ServerResponse } from "node:http";
import type { Socket } from "node:net";

type Answer = (request: IncomingMessage, response: ServerResponse) => void;

/** So many requests are begun before it is read what came in on the lines. */
const AT_ONCE = 4;
/** Of one connection so many may wait for the answers before theirs: a browser sends none before that. */
const MOST_WAITING = 8;

/**
 * Requests are begun one after another: of a connection the next when the one before is answered, and of all connections a few at a time, so that whoever is on a
 * line is heard between. Nothing is slower for it, but for whoever asks many things in one breath: that connection is cut.
 */
export class InTurn {
  /** Of connections that have been answered before, what may be begun. */
  #ready: (() => void)[] = [];
  /** What waits behind the request of a connection that is being answered. */
  readonly #behind = new WeakMap<Socket, (() => void)[]>();

  /** The same, in turn. One turn for all that is given to it: both ports of a hub. */
  taking(answer: Answer): Answer {
    return (request, response) => {
      const { socket } = request;
      // What stood behind in the same breath is read all the same.
      if (socket.destroyed) return;
      const begin = () => {
        if (socket.destroyed) return;
        response.once("close", () => this.#next(socket));
        answer(request, response);
      };
      const behind = this.#behind.get(socket);
      if (!behind) {
        this.#behind.set(socket, []);
        this.#getReady(begin);
      } else if (behind.length < MOST_WAITING) behind.push(begin);
      else socket.destroy();
    };
  }

  #next(socket: Socket): void {
    const next = this.#behind.get(socket)?.shift();
    if (next) this.#getReady(next);
    else this.#behind.delete(socket);
  }
  #getReady(begin: () => void): void {
    this.#ready.push(begin);
    if (this.#ready.length === 1) setImmediate(this.#begin);
  }
  readonly #begin = (): void => {
    const now = this.#ready.slice(0, AT_ONCE);
    for (const begin of now) begin();
    this.#ready = this.#ready.slice(now.length);
    if (this.#ready.length > 0) setImmediate(this.#begin);
  };
}
