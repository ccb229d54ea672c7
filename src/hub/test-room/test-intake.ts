import { refusalOfNew } from "../../belt-test/intake/refusal-of-new.ts";
import { rolesOfTaken } from "../../belt-test/intake/roles-in-file.ts";
import { kindsThatAre } from "../../belt-test/kinds/all-kinds.ts";
import { comesAgain, isChief, type Writer } from "../../belt-test/permit/writer.ts";
import { isKnown, readEntry } from "../../belt-test/scorebook/entry.ts";
import { heldAtOpenings, isHeld } from "../../belt-test/scorebook/held-first.ts";
import { isForAnyone, isOutOfTurn } from "../../belt-test/scorebook/out-of-turn.ts";
import { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { testSides } from "../../belt-test/scorebook/test-sides.ts";
import type { AnyEntry } from "../../book/entry.ts";
import { type Fault, faultsThatAre } from "../../book/faults.ts";
import type { CountId, DeviceId, EntryId, GradingId } from "../../book/identity.ts";
import type { Clock } from "../../ports/clock.ts";
import type { Intake, LineRules } from "../room/intake.ts";
import type { HeldBox } from "../seals/held-box.ts";
import type { Author } from "./author.ts";
import { HeardCounts } from "./heard-counts.ts";
import { heldAt, openPlaces } from "./held-at.ts";
import { decides, isKeptAgain, opensMarks } from "./kept-again.ts";
import { LostPlan, type LostPlans } from "./lost-plan.ts";
import { RefusedLines } from "./refused-lines.ts";

/** Logical time is told in steps of this: a judge's lines of a whole test. */
const ROUND_MOMENT = 256;
/** Beside these a hub says what it holds, each time. */
const withHeld = kindsThatAre("with-held");

const lines: LineRules = {
  sides: testSides,
  readEntry,
  isOutOfTurn,
  isForAnyone,
  // So many are told of in no day. Each bears words, and whoever is in could fill the memory of the hub with them.
  most: { incident: 1_000 },
};

interface TestIntakeSettings {
  clock: Clock;
  makeId: () => string;
  /** Where what the hub held of closed marks is shut away for the chief's device to keep. */
  box: HeldBox | undefined;
  lostPlans: LostPlans;
}

const late = faultsThatAre("late");

/**
 * On the line the hub says what is held, which alone holds closed marks; but a chief who took files while the hub was away says whom an opening was without, and
 * what was there, or says it beside a place that is given away. No lock that is here is undone by that: see `heldAt`. Less than that is no device's to say.
 */
function refusalOfOwnHolding(entry: AnyEntry): Fault | null {
  if (!isKnown(entry) || (entry.kind !== "revealed" && entry.kind !== "judge-replaced"))
    return null;
  const { body } = entry;
  if (entry.kind === "revealed" && body.basis && body.without && body.after) return null;
  const path = ["basis", "without", "after", "unheard"].find((key) => body[key] !== undefined);
  return path === undefined
    ? null
    : {
        code: "ENTRY_MALFORMED",
        with: { path: `body.${path}`, detail: "the hub says what it held" },
      };
}

/** What a belt test asks of a line: its permits, what was held and heard, what comes again, and which chief is waited for. */
export class TestIntake implements Intake<Scorebook, Author> {
  readonly lines = lines;
  readonly #grading: GradingId;
  readonly #settings: TestIntakeSettings;
  readonly #heard = new HeardCounts();
  readonly #lostPlan: LostPlan;
  readonly #refusedLines = new RefusedLines();
  /** Openings that this hub refused since the one before never had them: they stay so, also when everybody is back. */
  readonly #neverHad = new Set<EntryId>();
  /** What came with its receipt and was kept. */
  readonly #again = new Set<EntryId>();
  /** What was kept without one since this hub was started, of that by which marks open. */
  #news: AnyEntry[] = [];
  /** What was here when it was noticed that a hub was lost. */
  readonly #ofCopy = new Set<EntryId>();
  #book = new Scorebook();
  #lastHeard: (count: CountId) => number = () => 0;

  constructor(grading: GradingId, settings: TestIntakeSettings) {
    this.#grading = grading;
    this.#settings = settings;
    this.#lostPlan = new LostPlan(grading, settings.lostPlans);
  }

  decidesBy(book: Scorebook, lastHeard: (count: CountId) => number): void {
    this.#book = book;
    this.#lastHeard = lastHeard;
    this.#news = this.#news.filter(({ id }) => book.entry(id));
  }

  /** The highest logical time that more than one liar has heard. */
  get believed(): number {
    return this.#heard.believed;
  }
  /** What a device says it has heard at most. @param book  logical time of the book on the disk */
  hasHeard(who: Writer, lamport: number, book: number): void {
    this.#heard.says(who, lamport, book);
  }
  wasShouted(lamport: number): void {
    this.#heard.wasShouted(lamport);
  }
  /** Somebody has read further in this book than it goes: what others than the chief bring waits. */
  planWasLost(): Promise<void> {
    if (!this.#lostPlan.isPutBack) for (const { id } of this.#book.entries()) this.#ofCopy.add(id);
    return this.#lostPlan.wasLost();
  }
  /** A chief's tablet has handed in all that it had. */
  chiefHasCome(): void {
    this.#lostPlan.chiefHasCome();
  }
  get isChiefAwaited(): boolean {
    return this.#lostPlan.isAwaited;
  }
  hasCome(device: DeviceId): void {
    this.#lostPlan.hasCome(device);
  }
  isPutBackFor(device: DeviceId): boolean {
    return this.#lostPlan.isPutBackFor(device);
  }

  async opened(): Promise<void> {
    await this.#lookWhatCameAgain();
    if (await this.#settings.lostPlans.isLost(this.#grading)) await this.planWasLost();
  }
  /** Another hub on the store may wait for a chief, or have seen the chief's tablet. */
  async beforeCommit(readOn: () => Promise<unknown>): Promise<void> {
    await this.#lostPlan.look(readOn);
    if (this.#settings.lostPlans.isShared && this.#lostPlan.isPutBack)
      await this.#lookWhatCameAgain();
  }
  /** Here before this hub was started, or at another hub on the store. */
  async #lookWhatCameAgain(): Promise<void> {
    for (const id of await this.#settings.lostPlans.cameAgain(this.#grading)) this.#again.add(id);
  }
  /** Before anybody can read them: another hub is not to take for decided anew what came with its receipt. */
  async beforeWriting(entries: readonly AnyEntry[]): Promise<void> {
    const again = entries.flatMap(({ id, kind }) =>
      this.#again.has(id) && decides.has(kind) ? [id] : [],
    );
    if (again.length > 0) await this.#settings.lostPlans.noteAgain(this.#grading, again);
  }

  /** What a lost hub had said it held, from a chief's device: the hub writes each time under a device of its own. */
  isGivenBack({ roles }: Author, entry: AnyEntry): boolean {
    return isHeld(entry) && entry.device.startsWith("held-") && roles.includes("chief");
  }
  isSeated(person: string): boolean {
    return this.#book.plan.seats.some((seat) => seat.person === person);
  }
  /** What somebody says of a stop is kept even so. */
  mustVouch(entry: AnyEntry): boolean {
    return this.#book.plan.rules >= 3 && !isOutOfTurn(entry);
  }
  mustWait(author: Author): boolean {
    return this.#lostPlan.isAwaited && !isChief(author);
  }

  refusalOf(entry: AnyEntry, author: Author, isOurs: boolean): Fault | null {
    const word = author.chiefsWord;
    const refused: Fault | null = word?.didNotTake(entry)
      ? { code: "CHIEF_DID_WITHOUT" }
      : this.#refusalOf(entry, { ...author, mayComeAgain: author.isFromRoad || isOurs });
    if (!refused) return null;
    // What the hub that was lost had kept, it took by the rules of then, when all that it rests on was there.
    const here = {
      book: this.#book,
      last: this.#lastHeard(entry.device),
      again: this.#again,
      ofCopy: this.#ofCopy,
      news: this.#news,
    };
    const isAgain =
      isOurs && !this.#refusedLines.refusedUnder(entry) && isKeptAgain(here, entry, refused.code);
    const isTaken = isAgain || (word?.took(entry) && late.has(refused.code));
    return isTaken ? null : refused;
  }

  #refusalOf(entry: AnyEntry, author: Author): Fault | null {
    const { id, device, n } = entry;
    const roles = author.chiefsWord?.took(entry) ? rolesOfTaken(this.#book, author) : author.roles;
    const heardIn = (count: string) => this.#lastHeard(count as CountId);
    const writer = { ...author, roles, heardIn };
    return (
      (isChief(author) ? this.#refusalOfOpening(entry) : null) ??
      refusalOfNew(this.#book, writer, entry, this.#heard.told) ??
      this.#refusalOfHeld(entry) ??
      (author.mayComeAgain ? null : refusalOfOwnHolding(entry)) ??
      this.#refusedLines.refusalOfLock(entry, {
        isPassedOver: n < this.#lastHeard(device) && !comesAgain(this.#book, writer, entry),
        isMarkedOn: author.markedOn?.has(id) === true,
      })
    );
  }

  refused(entry: AnyEntry, fault: Fault): Fault {
    this.#refusedLines.refused(entry, fault);
    return this.#withMoment(fault);
  }
  passed(entry: AnyEntry): void {
    this.#refusedLines.taken(entry);
  }
  taken(entry: AnyEntry, isOurs: boolean): void {
    if (isOurs) this.#again.add(entry.id);
    else if (opensMarks.has(entry.kind)) this.#news.push(entry);
  }

  /** What it holds at an opening, or held by its own word that is given back. */
  beside(entry: AnyEntry, { isFromRoad }: Author): () => AnyEntry[] {
    const openBefore = openPlaces(this.#book, entry);
    return () => {
      const { clock, makeId, box } = this.#settings;
      if (!isKnown(entry) || entry.kind !== "held-sealed")
        return heldAt(this.#book, entry, {
          nowMs: clock.nowMs(),
          makeId,
          box,
          isFromRoad,
          openBefore,
        });
      const held = box?.open(entry.body.box) ?? [];
      return held.filter(({ id }) => !this.#book.entry(id));
    };
  }

  /**
   * What was refused as older than the plan is taken when it is said once more: whoever wrote it is told how late it is here. Closed locks are told to nobody and make
   * no tablet's logical time go on, so the moment is a round one, which tells of nobody's.
   */
  #withMoment(fault: Fault): Fault {
    if (fault.code !== "PLAN_OLDER") return fault;
    const moment = Math.ceil(this.#book.lamport / ROUND_MOMENT) * ROUND_MOMENT;
    return { ...fault, with: { ...fault.with, moment } };
  }

  /**
   * While a lost plan is waited for: an opening that the lost hub never had, since nothing that was held comes with it. A chief who went on alone knew the
   * marks and locks that the copy lacks, and this hub would say that they never came. Once everybody is back the chief does it anew.
   */
  #refusalOfOpening(entry: AnyEntry): Fault | null {
    const isNeverHad =
      this.#neverHad.has(entry.id) ||
      (this.#lostPlan.isAwaited &&
        withHeld.has(entry.kind) &&
        this.#book.plan.rules > 1 &&
        heldAtOpenings(this.#book.entries(), new Set([entry.id])).length === 0);
    if (!isNeverHad) return null;
    this.#neverHad.add(entry.id);
    return { code: "HUB_PUT_BACK" };
  }

  /** What another hub held, or had shut away, this one does not know for its own; it says itself what it holds. */
  #refusalOfHeld(entry: AnyEntry): Fault | null {
    if (!isHeld(entry)) return null;
    const box = this.#settings.box;
    // On the road without a hub none has a code.
    if (entry.kind === "held" && !box) return null;
    const isOurs =
      entry.kind === "held"
        ? entry.body.vouch === box?.vouchFor(entry)
        : box
            ?.open(entry.body.box)
            ?.every(
              (one) =>
                one.grading === this.#grading && isHeld(one) && one.body.of === entry.body.of,
            );
    return isOurs ? null : { code: "HELD_ALREADY" };
  }
}
