import { v7 as uuidv7 } from "uuid";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import { isChief, type Writer } from "../../belt-test/permit/writer.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { Viewer } from "../../belt-test/scorebook/sight.ts";
import { testReaders } from "../../belt-test/scorebook/test-readers.ts";
import type { Fault } from "../../book/faults.ts";
import type { CountId, DeviceId, EntryId, GradingId, SideRecordId } from "../../book/identity.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { CoverageBoard } from "../../line/coverage-board.ts";
import type { Feed } from "../../line/feed.ts";
import type { CoverageNews } from "../../line/protocol.ts";
import type { Run } from "../../line/runs.ts";
import { type Clock, platformClock } from "../../ports/clock.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { Handed } from "../room/handed.ts";
import type { ReadSoFar } from "../room/published.ts";
import { Room, type RoomSettings } from "../room/room.ts";
import type { HeldBox } from "../seals/held-box.ts";
import type { Author } from "./author.ts";
import { ChiefsToCome, type Come } from "./chiefs-to-come.ts";
import { type LostPlans, noLostPlans } from "./lost-plan.ts";
import { locksMarkedOn } from "./refused-lines.ts";
import { TestIntake } from "./test-intake.ts";

export interface GradingRoomSettings extends RoomSettings {
  makeId?: () => string;
  /** Where what the hub held of closed marks is shut away for the chief's device to keep. */
  box?: HeldBox | undefined;
  lostPlans?: LostPlans;
}
/** Told after each commit. */
type NewsListener = (news: GradingNews) => void;
interface GradingNews {
  coverage: CoverageNews;
  /** The newest line, where the chain stands there is worth keeping elsewhere, a lock or the closing having come, and nothing lies under seal. */
  turn: StoredEntry | undefined;
  /** What a chief is to hear by and by. */
  trouble: Fault | undefined;
}

/** One grading, open at this hub: a room of the belt test's book, and what only a belt test knows: how far judges are, and which chief is waited for. */
export class GradingRoom {
  readonly #room: Room<Scorebook, Role, Author>;
  readonly #intake: TestIntake;
  readonly #chiefs: ChiefsToCome;
  readonly #coverage: CoverageBoard;
  readonly #listeners = new Set<NewsListener>();

  private constructor(
    room: Room<Scorebook, Role, Author>,
    intake: TestIntake,
    coverage: CoverageBoard,
    changes: CoverageNews[],
    clock: Clock,
  ) {
    this.#room = room;
    this.#intake = intake;
    this.#coverage = coverage;
    this.#chiefs = new ChiefsToCome(intake, {
      clock,
      book: () => room.book,
      look: () => room.refresh().catch(() => undefined),
    });
    room.onNews(({ lines, trouble }) => this.#hear(lines, changes.splice(0), trouble));
  }

  /** Reads the grading from the store. */
  static async open(
    grading: GradingId,
    store: ScorebookStore,
    hub: string,
    {
      makeId = uuidv7,
      lostPlans = noLostPlans,
      clock = platformClock,
      ...settings
    }: GradingRoomSettings = {},
  ): Promise<GradingRoom> {
    const { box } = settings;
    const intake = new TestIntake(grading, { clock, makeId, box, lostPlans });
    const coverage = new CoverageBoard();
    const changes: CoverageNews[] = [];
    const rules = {
      readers: testReaders,
      intake,
      onLine(book: Scorebook, { entry }: StoredEntry) {
        changes.push(coverage.note(book, entry));
      },
    };
    const room = await Room.open(grading, store, hub, rules, { ...settings, clock });
    changes.length = 0;
    return new GradingRoom(room, intake, coverage, changes, clock);
  }

  get grading(): GradingId {
    return this.#room.grading;
  }
  /** Hands entries in as they came over the wire. Resolves when what is kept is on the disk. */
  handIn(
    author: Author,
    entries: readonly unknown[],
    sides?: readonly SideRecord[],
  ): Promise<Handed> {
    return this.#room.handIn({ ...author, markedOn: locksMarkedOn(entries) }, entries, sides);
  }
  receiptsFor(ids: readonly EntryId[]): string[] | undefined {
    return this.#room.receiptsFor(ids);
  }
  flush(): Promise<void> {
    return this.#room.flush();
  }
  refresh(): Promise<void> {
    return this.#room.refresh();
  }
  close(): void {
    this.#chiefs.close();
    this.#room.close();
  }
  get erasedWaits(): Fault | undefined {
    return this.#room.erasedWaits;
  }
  get unswept(): Fault | undefined {
    return this.#room.unswept;
  }
  get trouble(): Fault | undefined {
    return this.#room.trouble;
  }

  feedId(viewer: Viewer): string {
    return this.#room.feedId(viewer);
  }
  feed(viewer: Viewer): Feed<Role> {
    return this.#room.feed(viewer);
  }
  bookmarkAt(viewer: Viewer, cursor: number): string | undefined {
    return this.#room.bookmarkAt(viewer, cursor);
  }
  hasLost(viewer: Viewer, read: ReadSoFar): boolean {
    return this.#room.hasLost(viewer, read);
  }
  get last(): StoredEntry | undefined {
    return this.#room.last;
  }
  /** The newest line at which no mark was closed. */
  get lastUnsealed(): StoredEntry | undefined {
    return this.#room.lastUnsealed;
  }
  get upTo(): number {
    return this.#room.upTo;
  }
  holds(device: DeviceId): Map<CountId, Run[]> {
    return this.#room.holds(device);
  }
  /** The book as it is on the disk. */
  get book(): Scorebook {
    return this.#room.book;
  }
  side(id: SideRecordId): SideRecord | undefined {
    return this.#room.side(id);
  }

  /**
   * Looks whether somebody else wrote on; where nobody did, what others than the chief bring waits. A cursor that anybody may make up is believed of a chief;
   * of others with the code that this hub, before it was put back, gave for it.
   */
  async lookForLost(viewer: Viewer, read: ReadSoFar): Promise<void> {
    if (!this.hasLost(viewer, read)) return;
    if (!isChief(viewer) && !this.#room.isOwnBookmark(read)) return;
    await this.refresh();
    if (this.hasLost(viewer, read)) await this.#chiefs.planWasLost();
  }
  /** Whether this hub was put back from an older copy, and that device has not handed in all it had since. */
  isPutBackFor(device: DeviceId): boolean {
    return this.#intake.isPutBackFor(device);
  }
  /** A tablet has handed in all that it had. Resolves when other hubs may know. */
  hasCome(come: Come): Promise<void> {
    return this.#chiefs.hasCome(come);
  }
  /** The highest logical time there is: the book's, or what more than one liar has heard. */
  get lamport(): number {
    return Math.max(this.book.lamport, this.#intake.believed);
  }
  /** What a device says it has heard at most. */
  hasHeard(who: Writer, lamport: number): void {
    this.#intake.hasHeard(who, lamport, this.book.lamport);
  }
  wasShouted(lamport: number): void {
    this.#intake.wasShouted(lamport);
  }
  coverage(): CoverageNews {
    return this.#coverage.all();
  }
  onNews(listener: NewsListener): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }

  #hear(
    lines: readonly StoredEntry[],
    changes: readonly CoverageNews[],
    trouble: Fault | undefined,
  ): void {
    const coverage = {
      work: changes.flatMap(({ work }) => work),
      calls: changes.flatMap(({ calls }) => calls),
    };
    const isTurn = lines.some(({ entry: { kind } }) => kind === "locked" || kind === "closed");
    const turn = isTurn && this.lastUnsealed === this.last ? this.last : undefined;
    for (const listener of this.#listeners) listener({ coverage, turn, trouble });
  }
}
