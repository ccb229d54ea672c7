import { mayGoFromMs } from "../../belt-test/scorebook/retention.ts";
import { FaultError } from "../../book/faults.ts";
import type { GradingId, PersonId } from "../../book/identity.ts";
import type { RetentionRule } from "../../line/doors.ts";
import type { Clock } from "../../ports/clock.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { FrontDesk } from "../door/front-desk.ts";
import type { ErasedLog } from "../store/erased-log.ts";
import type { GradingRooms } from "../test-room/grading-rooms.ts";
import { hubPen } from "../test-room/hub-pen.ts";
import { TitlePages } from "../test-room/title-pages.ts";
import { forgetDoor } from "./forget-at-door.ts";
import { isSettled, livedDays, liveOn } from "./lived-days.ts";
import { namedIn, namesDue, type TestDue } from "./names-due.ts";
import {
  daysTold,
  type GoneByItself,
  goneByItself,
  keepGone,
  keepRetentionRule,
  keepWarned,
  retentionRule,
} from "./retention-rule.ts";

/** A hub that was just started leaves time to look at what it warns of. Milliseconds. */
const FIRST_LOOK_MS = 60_000;
const LOOK_EVERY_MS = 60 * 60_000;

/** A test whose names are soon due or due, as its chief is told. */
interface WarnedTest extends Omit<TestDue, "abouts" | "strangers" | "details"> {
  people: number;
  /** From when on its names go by themselves; null where they do not, or where nobody was shown yet that they are due. */
  goesFromMs: number | null;
}
export interface RetentionState {
  rule: RetentionRule;
  tests: WarnedTest[];
  gone: GoneByItself[];
}

interface Parts {
  store: ScorebookStore;
  desk: FrontDesk;
  rooms: GradingRooms;
  /** Where it is noted beside the store who was erased. */
  log?: ErasedLog | undefined;
  /** Told when names at a door are forgotten, after those of the people. */
  onForgotten?: () => void;
}

/**
 * Keeps the time after which names go: tells of what is due, erases a whole test's names when asked, and by itself only where the chief
 * chose so and somebody was shown on thirty days that they are due: days that the hub has lived through, so that one start with a wrong clock is one day.
 */
export class RetentionClock {
  readonly #store: ScorebookStore;
  readonly #desk: FrontDesk;
  readonly #rooms: GradingRooms;
  readonly #clock: Clock;
  readonly #pages: TitlePages;
  readonly #log: ErasedLog | undefined;
  readonly #onForgotten: () => void;

  constructor({ store, desk, rooms, log, onForgotten = () => undefined }: Parts, clock: Clock) {
    this.#log = log;
    this.#onForgotten = onForgotten;
    this.#store = store;
    this.#desk = desk;
    this.#rooms = rooms;
    this.#clock = clock;
    this.#pages = new TitlePages(store);
  }

  /** Looks now and then. @returns what ends it. */
  begin(onFailed: (error: unknown) => void): () => void {
    const look = () => void this.look().catch(onFailed);
    const stops = [this.#clock.after(FIRST_LOOK_MS, look), this.#clock.every(LOOK_EVERY_MS, look)];
    return () => {
      for (const stop of stops) stop();
    };
  }

  async state(): Promise<RetentionState> {
    const { tables: door } = this.#desk;
    const rule = await retentionRule(door);
    const { count: lived } = await liveOn(door, this.#clock.nowMs());
    const tests: WarnedTest[] = [];
    for (const { abouts, strangers, details, ...test } of await this.#due(rule)) {
      const told = await daysTold(door, test.grading, test.due, lived);
      const goesFromMs = rule.byItself ? mayGoFromMs(test.due, told, this.#clock.nowMs()) : null;
      tests.push({ ...test, people: abouts.length + strangers, goesFromMs });
    }
    return { rule, tests, gone: await goneByItself(door) };
  }
  async choose(rule: RetentionRule): Promise<void> {
    await keepRetentionRule(this.#desk.tables, rule);
  }
  /** Somebody was shown that the names of these tests are due; of others it means nothing. */
  async shown(gradings: readonly GradingId[]): Promise<void> {
    const { tables: door } = this.#desk;
    const atMs = this.#clock.nowMs();
    const { count: lived } = await liveOn(door, atMs);
    for (const { grading, due } of await this.#due(await retentionRule(door)))
      if (gradings.includes(grading)) await keepWarned(door, grading, due, { atMs, lived });
  }

  /**
   * Everybody that a test names is forgotten, as if the chief had erased one after the other.
   * @param isDry  only counts
   * @throws FaultError ERASED_WAITS where the disk does not do it now: nobody is sent the names any more, and it is tried again
   */
  async erase(grading: GradingId, isDry = false): Promise<{ people: number; records: number }> {
    const { tables: door } = this.#desk;
    const named = await namedIn({ store: this.#store, door }, grading);
    const { abouts, strangers, records } = named;
    const found = { people: abouts.length + strangers, records };
    if (found.people === 0) return found;
    const room = await this.#rooms.room(grading);
    // Counted with every note that a judge writes, they would tell of notes while the marks are closed.
    if (isDry) return room.book.plan.isClosed ? found : { ...found, records: named.details };
    const { pen, person, device } = hubPen(room.book, grading, this.#clock.nowMs());
    const entries = abouts
      .filter((about) => !room.book.erased.has(about))
      .map((about) => pen.write("erased", { about: about as PersonId }));
    const { refused } = await room.handIn({ person, roles: ["chief"], device }, entries);
    const [first] = refused;
    if (first) throw new FaultError(first.fault);
    await forgetDoor(door, grading, this.#log?.noteDevices(grading, this.#clock.nowMs()));
    this.#onForgotten();
    if (room.erasedWaits) throw new FaultError(room.erasedWaits);
    return found;
  }

  /** Erases what is due, was shown long enough, and is wanted to go by itself; nothing while the clock may be wrong. */
  async look(): Promise<void> {
    const { tests } = await this.state();
    if (!isSettled(await livedDays(this.#desk.tables), this.#clock.nowMs())) return;
    // A damaged test keeps no other's names.
    const failed: unknown[] = [];
    for (const { grading, goesFromMs } of tests) {
      const nowMs = this.#clock.nowMs();
      if (goesFromMs === null || goesFromMs > nowMs) continue;
      try {
        const { people } = await this.erase(grading);
        await keepGone(this.#desk.tables, { grading, atMs: nowMs, people });
      } catch (error) {
        failed.push(error);
      }
    }
    if (failed.length > 0) throw failed[0];
  }

  #due({ months }: RetentionRule): Promise<TestDue[]> {
    // By the day in Greenwich: half a day more or less is nothing to months.
    const today = new Date(this.#clock.nowMs()).toISOString().slice(0, 10);
    return namesDue(
      { store: this.#store, door: this.#desk.tables, pages: this.#pages },
      months,
      today,
    );
  }
}
