import { type Fault, FaultError } from "../../book/faults.ts";
import type { DeviceId, PersonId } from "../../book/identity.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { isCleared, isInBook, withShout } from "../../line/floor.ts";
import type { News } from "../../line/hub-news.ts";
import { type DevicePresence, type Shout, Waiting } from "../../line/protocol.ts";
import type { Clock } from "../../ports/clock.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";
import { nobodyElse, type StoreNews } from "../../ports/store-news.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import { TokenBucket } from "../door/token-bucket.ts";
import type { GradingRoom } from "../test-room/grading-room.ts";
import { type Asked, DoorQuestions } from "./door-questions.ts";
import type { Line } from "./line.ts";
import { shouted } from "./shouted.ts";

/** People read who is here a few times a second at most. */
const PRESENCE_EVERY_MS = 400;
/** What waits on a tablet for less is a tap on its way: told of each, the chief could count them. Milliseconds. */
const WAITS_AFTER_MS = 5_000;
/** Stops are few; whoever makes many fills nobody's line. */
const SHOUTS = { most: 20, aSecond: 1 };
/** Hubs tell each other so often who is on the line; of a hub that was silent for longer than the second nobody is. Milliseconds. */
const TELL_EVERY_MS = 10_000;
const GONE_AFTER_MS = 25_000;
/** The other hubs have said by then who is on the line there, if they hear and are heard. Milliseconds. */
const OTHERS_SAID_AFTER_MS = 1_000;

/** Who waits at the door is told anew at most so often: the list is as long as the crowd. Milliseconds. */
const WAITING_EVERY_MS = 250;

/** Everybody on the line of one grading, and what they are told beside the entries. */
export class Hall {
  readonly room: GradingRoom;
  /** What people are asked about further devices of theirs. */
  readonly questions = new DoorQuestions();
  readonly #desk: FrontDesk;
  readonly #clock: Clock;
  readonly #lines = new Set<Line>();
  /** Devices that were here since the hub started, gone or not. */
  readonly #seen = new Map<DeviceId, DevicePresence>();
  /** Lines on whose tablet something waits, until it has waited long enough to be told; what calls it off. */
  readonly #waiting = new Map<Line, () => void>();
  /** Devices on the line at another hub of this store, as it last told. */
  readonly #elsewhere = new Map<DeviceId, { person: DevicePresence; heardAtMs: number }>();
  /** Devices of which the other hubs have not been told yet. */
  readonly #untold = new Set<DeviceId>();
  readonly #news: StoreNews;
  readonly #openedAtMs: number;
  #presenceSoon: (() => void) | undefined;
  #waitingSoon: (() => void) | undefined;
  #waitingToldAtMs = Number.NEGATIVE_INFINITY;
  #isClosed = false;
  #isLooking = false;
  /** What was shouted of the floor and is kept nowhere yet. */
  #floors: readonly Shout[] = [];
  /** Of each device its own: whoever shouts much keeps nobody else's stop from being heard. */
  readonly #shouts = new Map<DeviceId, TokenBucket>();
  readonly #stopListening: (() => void)[];

  constructor(room: GradingRoom, desk: FrontDesk, clock: Clock, news = nobodyElse) {
    this.room = room;
    this.#desk = desk;
    this.#clock = clock;
    this.#news = news;
    this.#openedAtMs = clock.steadyMs();
    this.#stopListening = [
      room.onNews(({ coverage, turn, trouble }) => {
        for (const line of this.#lines) {
          line.pump();
          if (line.leads) line.sayCoverage(coverage, false);
          if (trouble && line.who.roles.includes("chief"))
            line.say({ frame: "refuse", id: null, fault: trouble });
        }
        if (turn) void this.#sayHead(turn, this.#lines);
      }),
      desk.onDoor((row) => this.#doorChanged(row)),
    ];
    if (news === nobodyElse) return;
    this.#stopListening.push(
      news.onNews((one) => this.#heard(one)),
      news.onNews((one) => one.of === "doubt" && void this.#lookAtDoor()),
      clock.every(TELL_EVERY_MS, () => this.#tellWhoIsHere()),
    );
    news.tell({ of: "who-is-here", grading: room.grading });
  }

  enter(line: Line): void {
    this.#lines.add(line);
    if (line.who.roles.includes("chief")) void this.#sayWaiting([line]);
    this.#see(line);
    if (line.leads) line.say({ frame: "presence", people: this.#people() });
    if (this.questions.to(line.who.person).length > 0) this.#sayQuestions(line.who.person);
    const trouble = line.who.roles.includes("chief") ? this.room.trouble : undefined;
    if (trouble) line.say({ frame: "refuse", id: null, fault: trouble });
    if (this.room.lastUnsealed) void this.#sayHead(this.room.lastUnsealed, [line]);
    for (const floor of this.#floors)
      if (!isInBook(this.room.book, floor) && !(floor.stopped && this.#isCleared(floor)))
        line.say({ frame: "floor", floor });
  }
  /** Where the chain stands, signed, for everybody to keep. */
  async #sayHead({ seq, chain }: StoredEntry, lines: Iterable<Line>): Promise<void> {
    try {
      const head = await this.#desk.signedHead(this.room.grading, seq, chain);
      if (head) for (const line of lines) line.say({ frame: "head", head });
    } catch (error) {
      // Where the store is away there is another one with the next turn.
      if (!(error instanceof FaultError)) throw error;
    }
  }
  leave(line: Line): void {
    this.#waiting.get(line)?.();
    this.#waiting.delete(line);
    if (this.#lines.delete(line)) this.#see(line, line.unsent > 0);
  }
  /** The line said whether something waits on its tablet. */
  heard(line: Line): void {
    if (line.unsent === 0) {
      this.#waiting.get(line)?.();
      this.#waiting.delete(line);
      this.#see(line);
      return;
    }
    if (this.#waiting.has(line)) return;
    const callOff = this.#clock.after(WAITS_AFTER_MS, () => this.#see(line, true));
    this.#waiting.set(line, callOff);
  }
  /** Whether this person is on the line, here or at another hub, on another device than this one. */
  isHere(person: PersonId, but: DeviceId): boolean {
    return this.#people().some((one) => one.online && one.person === person && one.device !== but);
  }
  /** A hall that has only just opened does not know yet who is on the line at the other hubs. */
  async hasHeardOthers(): Promise<void> {
    const left = this.#openedAtMs + OTHERS_SAID_AFTER_MS - this.#clock.steadyMs();
    if (this.#news !== nobodyElse && left > 0)
      await new Promise<void>((done) => this.#clock.after(left, done));
  }
  /** Asks a person, on whatever devices of theirs are on the line, whether a further one is theirs. */
  ask(asked: Asked): void {
    const { person, device, name } = this.questions.ask(asked);
    this.#sayQuestions(person);
    this.#news.tell({ of: "door-question", grading: this.room.grading, person, device, name });
  }
  /** Another hub's question, for a person who may be on the line here: the answer goes back there. */
  #askFor({ person, device, name }: Extract<News, { of: "door-question" }>): void {
    const { grading } = this.room;
    const answer = (yes: boolean) => async (on: DeviceId) =>
      this.#news.tell({ of: "door-answer", grading, person, on, device, yes });
    const sinceMs = this.#clock.steadyMs();
    this.questions.ask({ person, device, name, sinceMs, yes: answer(true), no: answer(false) });
    this.#sayQuestions(person);
  }
  async answered(
    who: { person: PersonId; device: DeviceId },
    device: DeviceId,
    isYes: boolean,
  ): Promise<void> {
    try {
      await this.questions.answer(who, device, isYes);
    } finally {
      this.#sayQuestions(who.person);
    }
  }
  #sayQuestions(person: PersonId): void {
    const devices = this.questions.to(person);
    for (const line of this.#lines)
      if (line.who.person === person)
        line.say({
          frame: "door-questions",
          devices: devices.filter(({ device }) => device !== line.who.device),
        });
  }
  /** Where else the same tests are served. */
  sayHubs(addresses: readonly string[]): void {
    for (const line of this.#lines) line.sayHubs(addresses);
  }
  /** A stop is told before it is kept, for a full disk must not keep it from anybody. */
  shout(from: Line, entries: readonly unknown[]): void {
    const { book, grading, lamport } = this.room;
    for (const floor of shouted(book, this.#floors, from.who, entries, lamport)) {
      if (!this.#mayShout(from)) return;
      this.#sayFloor(floor, from);
      this.#news.tell({ of: "floor", grading, floor });
    }
  }
  #isCleared(stop: Shout): boolean {
    return isCleared(this.room.book, this.#floors, stop);
  }
  #mayShout({ who: { device } }: Line): boolean {
    const now = this.#clock.steadyMs();
    let shouts = this.#shouts.get(device);
    if (!shouts)
      this.#shouts.set(device, (shouts = new TokenBucket(SHOUTS.most, SHOUTS.aSecond, now)));
    return shouts.take(1, now);
  }
  #sayFloor(floor: Shout, from?: Line): void {
    const { book } = this.room;
    if (isInBook(book, floor) || this.#floors.some(({ entry }) => entry === floor.entry)) return;
    this.#floors = withShout(book, this.#floors, floor);
    this.room.wasShouted(floor.lamport);
    for (const line of this.#lines) if (line !== from) line.say({ frame: "floor", floor });
  }
  pace(from: Line, count: number): void {
    this.#sayPace(count, from);
    this.#news.tell({ of: "pace", grading: this.room.grading, count });
  }
  #sayPace(count: number, from?: Line): void {
    for (const line of this.#lines) if (line !== from) line.say({ frame: "pace", count });
  }
  hangUp(): void {
    for (const line of this.#lines) line.hangUp();
  }
  close(): void {
    this.#isClosed = true;
    this.#presenceSoon?.();
    this.#waitingSoon?.();
    for (const callOff of this.#waiting.values()) callOff();
    for (const stop of this.#stopListening) stop();
  }

  /** Word from another hub on the same store. */
  #heard(news: News): void {
    if (!("grading" in news) || news.grading !== this.room.grading) return;
    if (news.of === "floor") this.#sayFloor(news.floor);
    else if (news.of === "pace") this.#sayPace(news.count);
    else if (news.of === "who-is-here") this.#tellWhoIsHere();
    else if (news.of === "door-question") this.#askFor(news);
    else if (news.of === "door-answer")
      this.answered({ person: news.person, device: news.on }, news.device, news.yes).catch(
        (error: unknown) => {
          // The chief who asked was shut out meanwhile, or the door is another by now: nobody comes in by it.
          if (!(error instanceof FaultError)) throw error;
        },
      );
    else if (news.of === "presence") {
      this.#elsewhere.set(news.person.device, {
        person: news.person,
        heardAtMs: this.#clock.nowMs(),
      });
      this.#sayPresenceSoon();
    }
  }
  #tellWhoIsHere(): void {
    for (const person of this.#seen.values()) if (person.online) this.#tell(person);
  }
  #tell(person: DevicePresence): void {
    this.#news.tell({ of: "presence", grading: this.room.grading, person });
  }

  #doorChanged(row: DeviceRow): void {
    if (row.grading !== this.room.grading) return;
    const asked = this.questions.of(row.device)?.person;
    // Whoever knocks anew, or was decided about, is another question.
    this.questions.forget(row.device);
    if (asked) this.#sayQuestions(asked);
    for (const line of this.#lines) {
      line.knowsOf(row);
      if (line.who.device === row.device) this.#recheck(line, row);
    }
    this.#tellWaiting();
  }
  /** Of a knock the chief hears at once; of a crowd, so often. */
  #tellWaiting(): void {
    if (this.#waitingSoon) return;
    const dueMs = this.#waitingToldAtMs + WAITING_EVERY_MS - this.#clock.steadyMs();
    const tell = () => {
      this.#waitingSoon = undefined;
      this.#waitingToldAtMs = this.#clock.steadyMs();
      void this.#sayWaiting([...this.#lines].filter(({ who }) => who.roles.includes("chief")));
    };
    if (dueMs <= 0) tell();
    else this.#waitingSoon = this.#clock.after(dueMs, tell);
  }
  /** While another hub's word may not arrive, whoever it sends out is found by looking. */
  async #lookAtDoor(): Promise<void> {
    if (this.#isLooking || this.#lines.size === 0) return;
    this.#isLooking = true;
    try {
      const rows = new Map(
        (await this.#desk.devices(this.room.grading)).map((row) => [row.device, row]),
      );
      for (const line of [...this.#lines]) {
        const row = rows.get(line.who.device);
        if (row) this.#recheck(line, row);
      }
    } catch (error) {
      // A store that is away has every line hang up.
      if (!(error instanceof FaultError)) throw error;
    } finally {
      this.#isLooking = false;
    }
  }
  /** Whoever was sent out is out at once; whoever has another role now comes in again with another feed. */
  #recheck(line: Line, row: DeviceRow): void {
    if (row.state !== "admitted") {
      this.leave(line);
      line.bye({ code: "NOT_ADMITTED" } satisfies Fault);
      return;
    }
    const isSame =
      row.person === line.who.person &&
      [...row.roles].sort().join() === [...line.who.roles].sort().join();
    if (!isSame) {
      this.leave(line);
      line.hangUp();
    }
  }
  async #sayWaiting(lines: readonly Line[]): Promise<void> {
    if (lines.length === 0) return;
    try {
      const devices = (await this.#desk.devices(this.room.grading))
        .filter(({ state }) => state === "waiting")
        // One row that cannot be read would cost the chief the news of all.
        .flatMap((row) => Waiting.safeParse(row).data ?? []);
      for (const line of lines) line.say({ frame: "waiting", devices });
    } catch (error) {
      // Whoever is told nothing now is told when the store is back, with the next knock or the next hello.
      if (!(error instanceof FaultError)) throw error;
    }
  }

  /** Nothing is told, nor the time, but where somebody came or left, or where what waits there stays: a tap is no news. */
  #see(line: Line, waits = false): void {
    const { device, person, roles } = line.who;
    const online = [...this.#lines].some(({ who }) => who.device === device);
    const before = this.#seen.get(device);
    const isSame = before?.online === online && before.person === person;
    const now: DevicePresence = {
      device,
      person,
      roles: [...roles],
      online,
      lastSeenAtMs: isSame ? before.lastSeenAtMs : this.#clock.nowMs(),
      unsent: waits ? 1 : 0,
    };
    if (isSame && before.unsent === now.unsent && String(before.roles) === String(now.roles))
      return;
    this.#seen.set(device, now);
    // Whoever hangs up at the closing is told of to nobody.
    if (this.#isClosed) return;
    this.#untold.add(device);
    this.#sayPresenceSoon();
  }
  #sayPresenceSoon(): void {
    this.#presenceSoon ??= this.#clock.after(PRESENCE_EVERY_MS, () => {
      this.#presenceSoon = undefined;
      for (const device of this.#untold) {
        const person = this.#seen.get(device);
        if (person) this.#tell(person);
      }
      this.#untold.clear();
      for (const one of this.#lines)
        if (one.leads) one.say({ frame: "presence", people: this.#people() });
    });
  }
  #people(): DevicePresence[] {
    const people = new Map(this.#seen);
    for (const [device, { person, heardAtMs }] of this.#elsewhere) {
      if (people.get(device)?.online) continue;
      const isFresh = this.#clock.nowMs() - heardAtMs < GONE_AFTER_MS;
      people.set(device, { ...person, online: person.online && isFresh });
    }
    return [...people.values()];
  }
}
