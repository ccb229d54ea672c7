import type { Server, Socket } from "node:net";

/** Whoever was sent a last word has so long to read it and go. Milliseconds. */
const LAST_WORD_MS = 1_000;

/**
 * Every connection of a server, whatever became of it. Node's own list leaves out those that were upgraded, or shook hands and asked for nothing: one of
 * them that nobody reads would keep the server from closing, and the process from ending as it should.
 */
export class OpenSockets {
  readonly #open = new Set<Socket>();
  readonly #server: Server;

  constructor(server: Server) {
    this.#server = server;
    server.on("connection", (socket) => {
      this.#open.add(socket);
      socket.once("close", () => this.#open.delete(socket));
    });
  }
  end(): void {
    for (const socket of this.#open) socket.destroy();
  }
  /** After the last word to whoever is on the line. */
  endSoon(): void {
    const later = setTimeout(() => this.end(), LAST_WORD_MS);
    this.#server.once("close", () => clearTimeout(later));
  }
}
