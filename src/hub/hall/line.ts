import type { WebSocket } from "@fastify/websocket";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import { sideSight } from "../../belt-test/scorebook/sight.ts";
import type { Fault } from "../../book/faults.ts";
import type { DeviceId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { bytesIn, inBatches } from "../../line/catch-up.ts";
import type { Feed } from "../../line/feed.ts";
import { type CoverageNews, type FromHub, MAX_BATCH, PROTOCOL } from "../../line/protocol.ts";
import { partedFromReceipt } from "../../line/receipt.ts";
import { refsIn } from "../../line/refs-in.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";
import { type Admitted, isOut } from "../door/front-desk.ts";
import type { Handed } from "../room/handed.ts";
import type { ReadSoFar } from "../room/published.ts";
import type { GradingRoom } from "../test-room/grading-room.ts";

/** Catching up pauses while this much waits in the socket. */
const PAUSE_BYTES = 256 * 1024;
/** A reader this far behind is cut; it comes back with its cursor and loses nothing. */
const CUT_BYTES = 4 * 1024 * 1024;
const COVERAGE_A_FRAME = 1000;

/** One admitted tablet on the line. */
export class Line {
  readonly who: Admitted;
  /** Devices of this person that are out, and those that are in, this one too. */
  readonly #alsoOn = new Set<DeviceId>();
  readonly #alsoIn = new Set<DeviceId>();
  readonly #socket: WebSocket;
  readonly #room: GradingRoom;
  readonly #feed: Feed<Role>;
  #cursor: number;
  /** Places of entries that came over this very line: the tablet has them and is not sent them back. */
  readonly #own = new Set<number>();
  unsent = 0;
  /** Nothing of this test was on it when it came. */
  readonly #isNew: boolean;
  /** It had read further than this book goes, or brought a line that was lost. */
  #isAhead: boolean;
  /** Until what came over it last is answered. */
  #handing: Promise<void> = Promise.resolve();
  /** It was told that a line of another device of its person's is that one's to send. */
  #waitsForDoor = false;
  /** Nothing is taken from it any more, although the socket may still bring frames. */
  isOver = false;

  constructor(
    socket: WebSocket,
    room: GradingRoom,
    who: Admitted,
    at: ReadSoFar,
    own: Iterable<DeviceRow> = [],
  ) {
    this.#socket = socket;
    this.#room = room;
    this.who = who;
    for (const row of own) this.knowsOf(row);
    this.#feed = room.feed(who);
    const feed = room.feedId(who);
    // Of a book that this hub has lost: better everything twice than a hole.
    const holds = room.holds(who.device);
    this.#isNew = holds.size === 0 && at.cursor === 0;
    this.#isAhead = room.hasLost(who, at);
    const isResumed = at.feed === feed && !this.#isAhead;
    this.#cursor = isResumed ? at.cursor : 0;
    this.say({
      frame: "welcome",
      protocol: PROTOCOL,
      person: who.person,
      roles: [...who.roles],
      feed,
      resumed: isResumed,
      ...(room.isPutBackFor(who.device) && { putBack: true }),
      upTo: this.#feed.length,
      holds: holds.get(who.device) ?? [],
      holdsByCount: Object.fromEntries(holds),
    });
    this.pump();
    if (this.leads) this.sayCoverage(room.coverage(), true);
  }

  /** Chief and caller see who has confirmed and who is on the line. */
  get leads(): boolean {
    return this.who.roles.includes("chief") || this.who.roles.includes("caller");
  }

  say(frame: FromHub): void {
    this.#send(JSON.stringify(frame));
  }
  sayCoverage({ work, calls }: CoverageNews, whole: boolean): void {
    if (work.length === 0 && calls.length === 0 && !whole) return;
    const batches = inBatches(work, () => 1, { most: COVERAGE_A_FRAME });
    for (const [index, batch] of (batches.length > 0 ? batches : [[]]).entries())
      this.say({
        frame: "coverage",
        work: batch,
        calls: index === 0 ? [...calls] : [],
        whole: whole && index === 0,
      });
  }
  sayHubs(addresses: readonly string[]): void {
    if (addresses.length > 1) this.say({ frame: "hubs", addresses: [...addresses] });
  }
  /** The last word. The tablet does not come back by itself after it. */
  bye(fault: Fault): void {
    this.say({ frame: "bye", fault });
    this.isOver = true;
    this.#socket.close(1008, fault.code);
  }
  /** Hangs up without a last word: the tablet comes back by itself and sends again what it still holds. */
  hangUp(): void {
    this.isOver = true;
    this.#socket.close(1013);
  }

  /** Something changed at the door: a device of the same person may have been let in, sent out, or given to somebody else. */
  knowsOf(row: DeviceRow): void {
    const { device, state, person } = row;
    const isTheirs = person === this.who.person;
    for (const [devices, has] of [
      [this.#alsoOn, isTheirs && isOut(row)],
      [this.#alsoIn, isTheirs && state === "admitted"],
    ] as const)
      if (has) devices.add(device);
      else devices.delete(device);
    // It comes back by itself, and offers again what it was told to wait with.
    if (this.#waitsForDoor && this.#alsoOn.has(device)) this.hangUp();
  }

  /** How much it still holds. Whoever is a chief and says so has sent all that it had when it came, and waits for the answer to that. */
  holding(unsent: number): void {
    this.unsent = unsent;
    const { device, roles, person } = this.who;
    const isChief = roles.includes("chief");
    void this.#handing.then(() =>
      this.#room.hasCome({
        ...{ device, isChief, isNew: this.#isNew },
        behind: this.#isAhead
          ? undefined
          : { person, alsoIn: [...this.#alsoIn].filter((other) => other !== device) },
      }),
    );
  }
  /** Handing in goes through the line, so that it hears of its own entries before the feed does. */
  async handIn(entries: readonly unknown[], sides: readonly SideRecord[]): Promise<Handed> {
    const wrote = ({ seq }: StoredEntry) => void this.#own.add(seq);
    const handing = this.#room.handIn(
      {
        ...this.who,
        alsoOn: this.#alsoOn,
        alsoIn: this.#alsoIn,
        isOut: () => this.isOver,
        wrote,
      },
      entries,
      sides,
    );
    this.#handing = handing.then(nothingMore, nothingMore);
    const handed = await handing;
    this.#isAhead ||= hasComeAgain(entries, handed);
    this.#waitsForDoor ||= handed.refused.some(({ fault }) => fault.code === "DEVICE_IN");
    return handed;
  }

  /** Sends what the feed holds beyond the cursor, as fast as the tablet reads. */
  pump(): void {
    while (this.#cursor < this.#feed.length && this.#socket.bufferedAmount < PAUSE_BYTES) {
      const [batch] = inBatches(
        this.#feed.after(this.#cursor, MAX_BATCH),
        ({ entry }) => this.#goesWith(entry).reduce((sum, one) => sum + bytesIn(jsonOf(one)), 0),
        { countOf: ({ entry }) => Math.max(1, this.#goesWith(entry).length - 1) },
      );
      if (!batch) return;
      this.#cursor += batch.length;
      const news = batch.filter(({ seq }) => !this.#own.delete(seq));
      // What is all the tablet's own moves the cursor silently, until a whole batch of it has gathered.
      if (news.length > 0 || batch.length === MAX_BATCH) this.#sendEntries(news);
    }
  }

  /** An entry, with the names and texts that go along, at the most. */
  #goesWith(entry: StoredEntry["entry"]): (StoredEntry["entry"] | SideRecord)[] {
    return [entry, ...refsIn(entry).flatMap(({ id }) => this.#room.side(id) ?? [])];
  }

  #sendEntries(lines: readonly StoredEntry[]): void {
    const named = new Set(lines.flatMap(({ entry }) => refsIn(entry).map(({ id }) => id)));
    const sides = [...named].flatMap((id) => {
      const record = this.#room.side(id);
      return (record && sideSight(this.who, record)) ?? [];
    });
    const entries = lines.map(({ entry }) => jsonOf(entry)).join(",");
    const more = sides.length > 0 ? `,"sides":${JSON.stringify(sides)}` : "";
    const place = `"cursor":${this.#cursor},"link":"${this.#room.bookmarkAt(this.who, this.#cursor) ?? ""}"`;
    this.#send(`{"frame":"entries","entries":[${entries}]${more},${place}}`);
  }

  #send(text: string): void {
    if (this.#socket.readyState !== this.#socket.OPEN) return;
    if (this.#socket.bufferedAmount > CUT_BYTES) this.#socket.terminate();
    else
      this.#socket.send(text, () => {
        if (this.#cursor < this.#feed.length) this.pump();
      });
  }
}

/** Whether a line was taken that bears what a hub had given for it. */
function hasComeAgain(entries: readonly unknown[], { kept }: Handed): boolean {
  const ids = new Set<unknown>(kept);
  return entries.some((one) => {
    const { line, receipt } = partedFromReceipt(one);
    return receipt !== undefined && ids.has((line as { id?: unknown }).id);
  });
}

const nothingMore = (): void => {};
const texts = new WeakMap<object, string>();
/** The text of an entry, or of a record, is made once for everybody. */
function jsonOf(one: StoredEntry["entry"] | SideRecord): string {
  let text = texts.get(one);
  if (text === undefined) texts.set(one, (text = JSON.stringify(one)));
  return text;
}
