import { WebSocket } from "ws";

/** A line to a hub, with nothing in it but frames as they are on the wire. */
export class ARawLine {
  readonly heard: Record<string, unknown>[] = [];
  readonly #socket: WebSocket;
  closedWith: number | undefined;

  constructor(url: string) {
    this.#socket = new WebSocket(url);
    this.#socket.on("message", (data) => this.heard.push(JSON.parse(String(data))));
    this.#socket.on("close", (code) => {
      this.closedWith = code;
    });
    this.#socket.on("error", () => undefined);
  }
  /** On the line and welcome, or turned away. */
  static async hello(
    url: string,
    who: { token: string; grading: string; device: string },
  ): Promise<ARawLine> {
    const line = new ARawLine(url);
    await line.isOpen();
    line.say({ frame: "hello", protocol: 2, cursor: 0, ...who });
    await line.until(() => line.heard.length > 0 || line.closedWith !== undefined, "an answer");
    return line;
  }
  isOpen(): Promise<void> {
    return this.until(
      () => this.#socket.readyState === WebSocket.OPEN || this.closedWith !== undefined,
      "an open line",
    );
  }
  frames(name: string): Record<string, unknown>[] {
    return this.heard.filter(({ frame }) => frame === name);
  }
  say(frame: object): void {
    this.#socket.send(JSON.stringify(frame));
  }
  hangUp(): void {
    this.#socket.terminate();
  }
  async until(isSo: () => boolean, what: string, withinMs = 10_000): Promise<void> {
    const endMs = Date.now() + withinMs;
    while (!isSo()) {
      if (Date.now() > endMs) throw new Error(`ARawLine: waited in vain for ${what}`);
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
  }
}
