import type { Server, Socket } from "node:net";

/** Connections of which nobody has said a valid hello: of one address, and in all. A hall's tablets open some six each for a moment. */
const SILENT = { ofOneAddress: 100, inAll: 400 };
/** Lines of one device: as many as it has pages open, and far more. */
const LINES_OF_A_DEVICE = 8;

/** What a connection is known by, under TLS as without: the socket that shook hands is another object than the one that was accepted. */
type Ends = Pick<Socket, "remoteAddress" | "remotePort" | "localPort">;
const nameOf = ({ remoteAddress, remotePort, localPort }: Ends): string =>
  `${remoteAddress} ${remotePort} ${localPort}`;

/**
 * Whoever stands before the hub's door without having said who it is. There is room for so many of one address, and for so many in all; the
 * oldest goes first. Whoever is in does not count, and so cannot be crowded out; nor is anybody kept from coming in.
 */
export class Crowd {
  /** Oldest first. */
  readonly #silent = new Map<string, { address: string; destroy: () => void }>();
  readonly #lines = new Map<string, (() => void)[]>();

  watch(server: Server): void {
    server.on("connection", (socket) => this.enter(socket));
  }

  enter(socket: Ends & Pick<Socket, "once" | "destroy">): void {
    const name = nameOf(socket);
    const { remoteAddress: address = "" } = socket;
    this.#silent.set(name, { address, destroy: () => socket.destroy() });
    socket.once("close", () => this.#silent.delete(name));
    const ofIts = [...this.#silent].filter(([, one]) => one.address === address);
    if (ofIts.length > SILENT.ofOneAddress) this.#drop(ofIts[0]?.[0]);
    if (this.#silent.size > SILENT.inAll) this.#drop(this.#silent.keys().next().value);
  }
  #drop(name: string | undefined): void {
    if (name === undefined) return;
    const one = this.#silent.get(name);
    this.#silent.delete(name);
    one?.destroy();
  }

  /**
   * A device that is in has said hello here: it has room of its own from now on.
   * @param hangUp  how its line is ended when the same device opens too many more; the oldest goes first.
   * @returns to be called when the line is gone.
   */
  isIn(socket: Ends, device: string, hangUp: () => void): () => void {
    this.#silent.delete(nameOf(socket));
    const lines = this.#lines.get(device) ?? [];
    this.#lines.set(device, lines);
    lines.push(hangUp);
    if (lines.length > LINES_OF_A_DEVICE) lines.shift()?.();
    return () => {
      const at = lines.indexOf(hangUp);
      if (at >= 0) lines.splice(at, 1);
      if (lines.length === 0 && this.#lines.get(device) === lines) this.#lines.delete(device);
    };
  }
}
