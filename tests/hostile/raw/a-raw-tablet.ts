import { createHash, randomUUID } from "node:crypto";
import { WebSocket } from "ws";

type Json = Record<string, unknown>;
export interface Pass {
  token: string;
  grading: string;
  device: string;
}
export interface RawEntry extends Json {
  id: string;
  n: number;
  lamport: number;
  kind: string;
}

/** The id that an entry has by rights, as a UUID of version 8: sixty bits of chance, and what SHA-256 says of them and the entry's place. */
function idOf({ grading, device, n }: Json): string {
  const chance = randomUUID().replaceAll("-", "").slice(0, 12);
  const free = `${chance}8${randomUUID().slice(0, 3)}`;
  const place = JSON.stringify([free, grading, device, n]);
  const sum = BigInt(`0x${createHash("sha256").update(place).digest("hex").slice(0, 16)}`);
  const tail = ((sum & ((1n << 62n) - 1n)) | (1n << 63n)).toString(16);
  const digits = free + tail;
  return digits.replace(/^(.{8})(.{4})(.{4})(.{4})/, "$1-$2-$3-$4-");
}

/** Somebody's tablet as it looks on the wire: a line, and a hand that numbers what it writes. Whatever it says may be forged. */
export class RawTablet {
  /** Every byte that came, as text. */
  readonly bytes: string[] = [];
  readonly heard: Json[] = [];
  readonly #socket: WebSocket;
  closedWith: number | undefined;
  n = 0;
  lamport = 0;
  /** `person`: as the hub welcomes. */
  readonly who: { token: string; grading: string; device: string; person: string };

  private constructor(url: string, who: Pass) {
    this.who = { ...who, person: "" };
    this.#socket = new WebSocket(url);
    this.#socket.on("message", (data) => {
      this.bytes.push(String(data));
      const frame = JSON.parse(String(data)) as Json;
      this.heard.push(frame);
      for (const { lamport } of (frame.entries ?? []) as RawEntry[])
        this.lamport = Math.max(this.lamport, lamport);
    });
    this.#socket.on("close", (code) => {
      this.closedWith = code;
    });
    this.#socket.on("error", () => undefined);
  }
  static async on(url: string, who: Pass, more: Json = {}): Promise<RawTablet> {
    const tablet = new RawTablet(url, who);
    await tablet.until(
      () => tablet.#socket.readyState === WebSocket.OPEN || tablet.closedWith !== undefined,
      "an open line",
    );
    const { token, grading, device } = who;
    tablet.say({ frame: "hello", protocol: 2, cursor: 0, token, grading, device, ...more });
    await tablet.until(
      () => tablet.frames("welcome").length > 0 || tablet.closedWith !== undefined,
      "an answer to hello",
    );
    tablet.who.person = String(tablet.frames("welcome")[0]?.person ?? "");
    return tablet;
  }

  /** The next entry of this hand, with whatever is to be otherwise. */
  write(kind: string, body: Json, forged: Json = {}): RawEntry {
    const isMark = ["mark", "overall", "faults", "note"].includes(kind);
    const entry = {
      grading: this.who.grading,
      by: this.who.person,
      device: this.who.device,
      n: ++this.n,
      lamport: isMark ? Math.max(1, this.lamport) : ++this.lamport,
      at: 1,
      kind,
      body,
      ...forged,
    };
    return { id: idOf(entry), ...entry } as RawEntry;
  }
  /** A judge's mark of one child. */
  mark(candidate: string, level: unknown, forged: Json = {}, place: Json = {}): RawEntry {
    const cells = [{ candidate, criterion: "stance", level, how: "tapped" }];
    return this.write(
      "mark",
      { section: "blocks", item: "rising", side: null, cells, ...place },
      forged,
    );
  }
  lock(candidate: string, forged: Json = {}, body: Json = {}): RawEntry {
    const entry = this.write("locked", {}, forged);
    const basis = { [this.who.device]: Number(entry.n) - 1 };
    return { ...entry, body: { section: "blocks", candidates: [candidate], basis, ...body } };
  }

  say(frame: object): void {
    this.sayText(JSON.stringify(frame));
  }
  sayText(text: string | Buffer): void {
    this.#socket.send(text);
  }
  append(...entries: object[]): void {
    this.say({ frame: "append", entries });
  }
  /** Hands in and waits. @returns what was refused with which code, by the entry's place; undefined where it was kept. */
  async handIn(...entries: RawEntry[]): Promise<(string | undefined)[]> {
    this.append(...entries);
    const answers = () => entries.map(({ id }) => this.answerTo(id));
    await this.until(() => answers().every(Boolean) || this.closedWith !== undefined, "answers");
    return answers().map((answer) => (answer === "kept" ? undefined : answer));
  }
  answerTo(id: string): string | undefined {
    for (const frame of this.heard) {
      if (frame.frame === "ack" && (frame.ids as string[]).includes(id)) return "kept";
      if (frame.frame === "refuse" && frame.id === id)
        return (frame.fault as { code: string }).code;
    }
    return undefined;
  }
  frames(name: string): Json[] {
    return this.heard.filter(({ frame }) => frame === name);
  }
  /** Every entry that came. */
  get entries(): RawEntry[] {
    return this.frames("entries").flatMap(({ entries }) => entries as RawEntry[]);
  }
  get isOpen(): boolean {
    return this.closedWith === undefined;
  }
  hangUp(): void {
    this.#socket.terminate();
  }
  async until(isSo: () => boolean, what: string, withinMs = 10_000): Promise<void> {
    const endMs = Date.now() + withinMs;
    while (!isSo()) {
      if (Date.now() > endMs)
        throw new Error(`RawTablet ${this.who.device}: waited in vain for ${what}`);
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
  }
}
