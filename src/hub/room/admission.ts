import { refusalOfNew } from "../../belt-test/intake/refusal-of-new.ts";
import { rolesOfTaken } from "../../belt-test/intake/roles-in-file.ts";
import { kindsThatAre } from "../../belt-test/kinds/all-kinds.ts";
import { comesAgain, isChief, type Writer } from "../../belt-test/permit/writer.ts";
import { isKnown, readEntry } from "../../belt-test/scorebook/entry.ts";
import { heldAtOpenings, isHeld } from "../../belt-test/scorebook/held-first.ts";
import { isForAnyone, isOutOfTurn } from "../../belt-test/scorebook/out-of-turn.ts";
import { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import { testSides } from "../../belt-test/scorebook/test-sides.ts";
import { deviceOf } from "../../book/counts.ts";
import { DeviceCounts } from "../../book/device-counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault, FaultCode } from "../../book/faults.ts";
import {
  CountId,
  type DeviceId,
  type EntryId,
  type GradingId,
  type SideRecordId,
} from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import { partedFromReceipt } from "../../line/receipt.ts";
import { refsIn } from "../../line/refs-in.ts";
import type { Clock } from "../../ports/clock.ts";
import type { HeldBox } from "../seals/held-box.ts";
import { canonicalText } from "../store/chain.ts";
import { type Author, type Handed, type Job, nobody } from "./handed.ts";
import { HeardCounts } from "./heard-counts.ts";
import { heldAt, openPlaces } from "./held-at.ts";
import { decides, isKeptAgain, opensMarks } from "./kept-again.ts";
import { LostPlan, type LostPlans } from "./lost-plan.ts";
import { RefusedLines } from "./refused-lines.ts";
import { refusalOfSide, type SideShelf } from "./side-shelf.ts";

/** So many are told of in no day. Each bears words, and whoever is in could fill the memory of the hub with them. */
const MOST_INCIDENTS = 1_000;
/** Logical time is told in steps of this: a judge's lines of a whole test. */
const ROUND_MOMENT = 256;
/** Beside these a hub says what it holds, each time. */
const withHeld = kindsThatAre("with-held");

/** One entry that may be kept, on its way to the disk. */
interface Accepted {
  job: number;
  author: Author;
  entry: AnyEntry;
}

/** What may be kept of a group, and what is answered. */
export interface Decision {
  entries: readonly AnyEntry[];
  sides: readonly SideRecord[];
  accepted: readonly Accepted[];
  answers: Handed[];
}

export interface AdmissionSettings {
  clock: Clock;
  makeId: () => string;
  /** So many entries are taken of one device; a stop and a withdrawal always, and of incidents a thousand. */
  mostADevice: number;
  /** Where what the hub held of closed marks is shut away for the chief's device to keep. */
  box: HeldBox | undefined;
  /** Whom the hub knows to be erased besides the book. */
  erasedBefore: ReadonlySet<string>;
  lostPlans: LostPlans;
}

/** What refuses a line for what is here already: whoever took it had it before that. What it rests on may still come. */
const ofLate: ReadonlySet<FaultCode> = new Set([
  "SECTION_OPEN",
  "PLAN_OLDER",
  "ALREADY_LOCKED",
  "PLACE_LOCKED",
  "MARKED_TO_THE_END",
  "ITEM_UNKNOWN",
  "CRITERION_NOT_ASKED",
  "LEVEL_OUT_OF_SCALE",
  "NOT_ASSIGNED",
  "RECUSED",
  "CELL_BLANK",
  "EXCUSE_LATE",
  "RUBRIC_BEGUN",
  "NUMBER_BEGUN",
  "NAME_BEGUN",
  "ANCHOR_LATE",
  "REQUEST_ANSWERED",
  "VERDICT_ISSUED",
  "GRADING_CLOSED",
]);

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

/** Which entries one grading takes. Its book may run ahead of the disk while a group is being checked. */
export class Admission {
  readonly #grading: GradingId;
  readonly #sides: SideShelf;
  readonly #settings: AdmissionSettings;
  /** Each device's count as this hub has heard it, refused entries included. */
  #counts = new DeviceCounts(isOutOfTurn);
  /** Of the counts in which something is refused now, how far each was heard before that. */
  readonly #heardBefore = new Map<CountId, number>();
  readonly #heardIn = (count: string): number => this.#counts.last(count as CountId);
  readonly #heard = new HeardCounts();
  readonly #lostPlan: LostPlan;
  readonly #refusedLines = new RefusedLines();
  /** How many each device has told of. */
  readonly #incidents = new Map<DeviceId, number>();
  /** Openings that this hub refused since the one before never had them: they stay so, also when everybody is back. */
  readonly #neverHad = new Set<EntryId>();
  /** What came with its receipt and was kept. */
  readonly #again = new Set<EntryId>();
  /** What was kept without one since this hub was started, of that by which marks open. */
  #news: AnyEntry[] = [];
  /** What was here when it was noticed that a hub was lost. */
  readonly #ofCopy = new Set<EntryId>();
  #book = new Scorebook();

  constructor(grading: GradingId, sides: SideShelf, settings: AdmissionSettings) {
    this.#grading = grading;
    this.#sides = sides;
    this.#settings = settings;
    this.#lostPlan = new LostPlan(grading, settings.lostPlans);
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
  /** Whether another hub on the store waits so, or has seen the chief's tablet. */
  lookForChief(readOn: () => Promise<unknown>): Promise<void> {
    return this.#lostPlan.look(readOn);
  }
  /** A chief's tablet has handed in all that it had. */
  chiefHasCome(): void {
    this.#lostPlan.chiefHasCome();
  }
  /** What came with its receipt to whoever had the book before, or has it too. */
  cameAgain(ids: Iterable<EntryId>): void {
    for (const id of ids) this.#again.add(id);
  }
  /** Of these lines those that came with their receipt and decide something, so that it is to be known by whoever has the book too. */
  decidedAgain(entries: readonly AnyEntry[]): EntryId[] {
    return entries.flatMap(({ id, kind }) =>
      this.#again.has(id) && decides.has(kind) ? [id] : [],
    );
  }
  get isPutBack(): boolean {
    return this.#lostPlan.isPutBack;
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

  /** Ahead of the disk. */
  enter(entry: AnyEntry): void {
    this.#add(entry);
    this.#counts.take(entry);
  }
  #add(entry: AnyEntry): void {
    this.#book.add(entry);
    if (entry.kind !== "incident") return;
    const owner = deviceOf(entry.device);
    this.#incidents.set(owner, (this.#incidents.get(owner) ?? 0) + 1);
  }
  /** It is on the disk: what came before it, and was refused, is not waited for again. */
  wasKept({ entry }: StoredEntry): void {
    this.#counts.take(entry, true);
  }
  /**
   * The book as it is on the disk, and nothing that is only hoped for. What was refused before stays so, and is not waited for again.
   * @param isTold  so does what was refused last: whoever wrote it is told
   */
  rewind(kept: Iterable<StoredEntry>, isTold: boolean): void {
    const heard = this.#counts;
    this.#book = new Scorebook();
    this.#counts = new DeviceCounts(isOutOfTurn);
    this.#incidents.clear();
    for (const stored of kept) {
      this.#add(stored.entry);
      this.wasKept(stored);
    }
    this.#counts.hearRefused(heard, isTold ? new Map() : this.#heardBefore);
    this.#news = this.#news.filter(({ id }) => this.#book.entry(id));
  }
  /** It was refused: what comes next need not wait for it. */
  #hear(count: CountId, n: number): void {
    keyed(this.#heardBefore, count, () => this.#counts.last(count));
    this.#counts.hear(count, n);
  }

  /** What may be kept of these jobs, by the book as it is now. What may is entered in the book. */
  decide(jobs: readonly Job[]): Decision {
    this.#heardBefore.clear();
    const answers = jobs.map((): Handed => ({ kept: [], refused: [] }));
    const accepted: Accepted[] = [];
    const sides = new Map<SideRecordId, SideRecord>();
    for (const [index, job] of jobs.entries()) {
      const offered = new Map(job.sides.map((side) => [side.id, side]));
      for (const json of job.entries) {
        const answer = answers[index] as Handed;
        const checked = this.#check(job, json, (id) => sides.get(id) ?? offered.get(id));
        if ("fault" in checked) answer.refused.push(checked);
        else if ("known" in checked) answer.kept.push(checked.known);
        else {
          const openBefore = openPlaces(this.#book, checked.entry);
          this.enter(checked.entry);
          accepted.push({ job: index, author: job.author, entry: checked.entry });
          for (const side of checked.sides) sides.set(side.id, side);
          for (const entry of this.#saysItself(checked.entry, job.author, openBefore)) {
            this.enter(entry);
            accepted.push({ job: index, author: nobody, entry });
          }
        }
      }
    }
    return {
      entries: accepted.map(({ entry }) => entry),
      sides: [...sides.values()],
      accepted,
      answers,
    };
  }

  /** What the hub writes beside an entry: what it holds at an opening, or held by its own word that is given back. */
  #saysItself(
    entry: AnyEntry,
    { isFromRoad }: Author,
    openBefore: ReadonlySet<string>,
  ): AnyEntry[] {
    if (!isKnown(entry) || entry.kind !== "held-sealed")
      return heldAt(this.#book, entry, {
        nowMs: this.#settings.clock.nowMs(),
        makeId: this.#settings.makeId,
        box: this.#settings.box,
        isFromRoad,
        openBefore,
      });
    const held = this.#settings.box?.open(entry.body.box) ?? [];
    return held.filter(({ id }) => !this.#book.entry(id));
  }

  /** Whether one entry may be kept. Noted here: what was heard of its count, what is refused for now, and what came again or opens marks; not the book. */
  #check(
    { author, markedOn }: Job,
    json: unknown,
    sideOf: (id: SideRecordId) => SideRecord | undefined,
  ):
    | { entry: AnyEntry; sides: SideRecord[] }
    | { known: EntryId }
    | { id: EntryId | null; fault: Fault } {
    const { line, receipt } = partedFromReceipt(json);
    const read = readEntry(line);
    if (!read.ok) {
      const named = nameOf(line);
      // What cannot be read may name any count: of a device that is full none is begun.
      const isFull = this.#counts.heardOf(author.device) > this.#settings.mostADevice;
      const isOwn = named.count && deviceOf(named.count) === author.device;
      if (named.count && isOwn && named.n !== undefined && !isFull)
        this.#hear(named.count, named.n);
      const where = { path: read.path.join("."), detail: read.message };
      return { id: named.id, fault: { code: "ENTRY_MALFORMED", with: where } };
    }
    const { entry } = read;
    const { id, device, n } = entry;
    const refuse = (fault: Fault) => ({ id, fault });
    if (entry.grading !== this.#grading) return refuse({ code: "GRADING_OTHER" });
    const owner = deviceOf(device);
    const isTheirs =
      owner === author.device || author.alsoOn?.has(owner) || isGivenBack(author, entry);
    const isIn = !isTheirs && author.alsoIn?.has(owner);
    // Before the book is asked for its id: whoever offers guesses at another's line would learn which is there, and what it says.
    if (!isTheirs && !isIn) return refuse({ code: "NOT_YOURS" });
    const before = this.#book.entry(id);
    const isReused = { code: "ID_REUSED", with: { id } } as const;
    if (before && deviceOf(before.device) === owner) {
      if (canonicalText(before) === canonicalText(entry)) return { known: id };
      // Whoever took this id is not to make the device that lost it wait for ever behind a gap.
      if (
        owner === author.device &&
        this.#counts.heardOf(author.device) <= this.#settings.mostADevice
      )
        this.#hear(device, n);
      return refuse(isReused);
    }
    if (isIn) return refuse({ code: "DEVICE_IN" });
    if (author.isOut?.()) return refuse({ code: "NOT_ADMITTED" });
    const isInNeed = isForAnyone(entry);
    // A stop does not wait for the entries before it.
    const misfit = this.#counts.fault(entry, isInNeed);
    if (misfit?.code === "N_GAP") return refuse(misfit);
    if (this.#lostPlan.isAwaited && !isInNeed && !isChief(author))
      return refuse({ code: "LAMPORT_TOO_HIGH" });
    const isOurs = receipt !== undefined && receipt === this.#settings.box?.receiptFor(entry);
    const mayComeAgain = author.isFromRoad || isOurs;
    const word = author.chiefsWord;
    const refused =
      misfit ??
      (word?.didNotTake(entry)
        ? ({ code: "CHIEF_DID_WITHOUT" } as const)
        : this.#refusalOf(entry, { ...author, mayComeAgain }, markedOn));
    // What the hub that was lost had kept, it took by the rules of then, when all that it rests on was there.
    const here = {
      book: this.#book,
      last: this.#counts.last(device),
      again: this.#again,
      ofCopy: this.#ofCopy,
      news: this.#news,
    };
    const isAgain =
      !misfit &&
      refused &&
      isOurs &&
      !this.#refusedLines.refusedUnder(entry) &&
      isKeptAgain(here, entry, refused.code);
    // An id of another's device: in a book of before, or a stop of an app of before.
    const isTaken =
      isAgain || (word?.took(entry) && refused && !misfit && ofLate.has(refused.code));
    const fault = (isTaken ? null : refused) ?? (before ? isReused : null);
    // What is only too far ahead is offered again by itself: nothing after it passes its place over, a lock least of all.
    if (fault?.code === "LAMPORT_TOO_HIGH" && !author.isDone) return refuse(fault);
    this.#hear(device, n);
    if (!isInNeed && this.#counts.heardOf(owner) > this.#settings.mostADevice)
      return refuse({ code: "DEVICE_FULL", with: { most: this.#settings.mostADevice } });
    if (entry.kind === "incident" && (this.#incidents.get(owner) ?? 0) >= MOST_INCIDENTS)
      return refuse({ code: "DEVICE_FULL", with: { most: MOST_INCIDENTS } });
    if (fault) {
      this.#refusedLines.refused(entry, fault);
      return refuse(this.#withMoment(fault));
    }
    this.#refusedLines.taken(entry);
    const sides: SideRecord[] = [];
    for (const ref of isKnown(entry) ? refsIn(entry) : []) {
      const held = this.#sides.held(ref.id);
      const side = held ?? sideOf(ref.id);
      // What is on the disk already was taken by the rules of then.
      const wrong = refusalOfSide(entry, ref, side, {
        rules: testSides,
        around: {
          isSeated: (person) => this.#book.plan.seats.some((seat) => seat.person === person),
          entry: (id) => this.#book.entry(id),
        },
        isHeld: held !== undefined,
        mustVouch: this.#book.plan.rules >= 3 && !isOutOfTurn(entry),
      });
      // Nothing is kept of whom the chief had erased, and no entry is refused for want of it; words about others that it bears are.
      if (side ? !wrong && this.#isErased(side.about) : this.#speaksOfErased(entry)) continue;
      // An incident is never refused, not even for want of its words; where they are too many, whoever wrote them must hear that they were not taken.
      if (wrong && (!isInNeed || wrong.code === "ENTRY_TOO_LARGE")) return refuse(wrong);
      if (!wrong && !held && side) sides.push(side);
    }
    if (isOurs) this.#again.add(id);
    else if (opensMarks.has(entry.kind)) this.#news.push(entry);
    return { entry, sides };
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

  #refusalOf(entry: AnyEntry, author: Author, markedOn: Job["markedOn"]): Fault | null {
    const { id, device, n } = entry;
    const roles = author.chiefsWord?.took(entry) ? rolesOfTaken(this.#book, author) : author.roles;
    const writer = { ...author, roles, heardIn: this.#heardIn };
    return (
      (isChief(author) ? this.#refusalOfOpening(entry) : null) ??
      refusalOfNew(this.#book, writer, entry, this.#heard.told) ??
      this.#refusalOfHeld(entry) ??
      (author.mayComeAgain ? null : refusalOfOwnHolding(entry)) ??
      this.#refusedLines.refusalOfLock(entry, {
        isPassedOver: n < this.#counts.last(device) && !comesAgain(this.#book, writer, entry),
        isMarkedOn: markedOn.has(id),
      })
    );
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

  #speaksOfErased(entry: AnyEntry): boolean {
    return testSides.spokenOfIn(entry).some((about) => this.#isErased(about));
  }
  #isErased(about: string): boolean {
    return this.#book.erased.has(about) || this.#settings.erasedBefore.has(about);
  }
}

/** What a lost hub had said it held, from a chief's device: the hub writes each time under a device of its own. */
const isGivenBack = ({ roles }: Author, entry: AnyEntry): boolean =>
  isHeld(entry) && entry.device.startsWith("held-") && roles.includes("chief");

/** What can be read of an entry that cannot be read. */
export function nameOf(json: unknown): {
  id: EntryId | null;
  count: CountId | undefined;
  n: number | undefined;
} {
  const { id, device, n } = (typeof json === "object" && json !== null ? json : {}) as {
    id?: unknown;
    device?: unknown;
    n?: unknown;
  };
  return {
    id: typeof id === "string" && id.length <= 64 ? (id as EntryId) : null,
    count: CountId.safeParse(device).data,
    n: typeof n === "number" ? n : undefined,
  };
}
