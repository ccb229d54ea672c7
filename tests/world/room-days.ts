import { sheetOf } from "../../src/belt-test/feedback/sheet-of.ts";
import { FaultLibrary } from "../../src/belt-test/rubric/fault-library.ts";
import { isAway } from "../../src/belt-test/scorebook/presence.ts";
import { fold, type Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { Viewer } from "../../src/belt-test/scorebook/sight.ts";
import { strayMarks } from "../../src/belt-test/scorebook/stray-marks.ts";
import { asOpened } from "../../src/belt-test/verdict/as-opened.ts";
import { caseOf } from "../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import { verdictDoubt } from "../../src/belt-test/verdict/verdict-doubt.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { aBox } from "../builders/a-box.ts";
import { aGradingId, anIdOf } from "../builders/a-pen.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { shippedFaultLibrary } from "../builders/shipped-rubrics.ts";
import { Dice } from "./dice.ts";
import { atOnce } from "./lying-hall.ts";
import { RoomChief } from "./room-chief.ts";
import { isAsked, type RoomHall, roomHall, SECTIONS, writePlan } from "./room-hall.ts";
import { RoomJudge } from "./room-judge.ts";
import type { OnHanded, RoomTablet } from "./room-tablet.ts";
import { RoomWitness } from "./room-witness.ts";

export interface RoomDay {
  /** What did not hold, with the day's seed and all that had been handed in by then; empty where all held. */
  broken: string[];
  /** So many lines were taken, by kind, and so many were refused, by code. */
  taken: Map<string, number>;
  refused: Map<string, number>;
  isClosedEarly: boolean;
}

/** So often somebody does something on one day. */
const STROKES = 170;
const library = FaultLibrary.parse(shippedFaultLibrary);
/** Ids of the hub's own lines are none of anybody's tablet. */
const OF_HUB = 1_000_000;

/** One day in one hub's room, in process: the same seed tells the same day. Ends at the first promise that does not hold. */
export async function playRoomDay(seed: number): Promise<RoomDay> {
  const day = new Day(seed);
  await day.play();
  return day;
}

class Day implements RoomDay {
  readonly broken: string[] = [];
  readonly taken = new Map<string, number>();
  readonly refused = new Map<string, number>();
  isClosedEarly = false;
  readonly #seed: number;
  readonly #dice: Dice;
  readonly #hall: RoomHall;
  readonly #chiefs: readonly [RoomChief, RoomChief];
  readonly #judges: readonly RoomJudge[];
  readonly #viewers: readonly Viewer[];
  readonly #witness: RoomWitness;
  readonly #store = openMemoryScorebook();
  readonly #told: string[] = [];
  readonly #refusedOnce = new Set<string>();
  readonly #share: number;
  #madeByHub = OF_HUB;

  constructor(seed: number) {
    const dice = new Dice("room", seed);
    const hall = roomHall(dice);
    this.#seed = seed;
    this.#dice = dice;
    this.#hall = hall;
    const givesBack = seed % 3 === 0;
    this.#chiefs = [
      new RoomChief(hall.chiefs[0], hall, dice, { givesBack }),
      new RoomChief(hall.chiefs[1], hall, dice, { givesBack }),
    ];
    this.#judges = hall.judges.map((tablet) => new RoomJudge(tablet, hall, dice));
    this.#viewers = [...hall.tablets, { person: "caller" as PersonId, roles: ["caller"] }];
    this.#witness = new RoomWitness(this.#viewers);
    this.#share = dice.pick([1, 1, 4]);
  }

  async play(): Promise<void> {
    const room = await this.#open();
    writePlan(this.#hall, this.#dice);
    await this.#everybodyMeets(room);
    for (const candidate of this.#hall.children)
      if (this.#dice.falls(0.85)) this.#hall.desk.write("checked-in", { candidate });
    const closing = this.#dice.pick(["late", "late", "early", "early, out of reach"] as const);
    const closingAt = this.#dice.whole(60, STROKES);
    for (let stroke = 0; stroke < STROKES && this.broken.length === 0; stroke++) {
      for (const tablet of this.#hall.tablets)
        if (this.#dice.falls(tablet.isOnline ? 0.03 : 0.06)) tablet.isOnline = !tablet.isOnline;
      if (stroke === closingAt && closing !== "late") this.#closeEarly(closing === "early");
      else this.#act();
      for (const tablet of this.#hall.tablets)
        if (this.#dice.falls(0.35)) await this.#meet(room, tablet);
    }
    if (this.broken.length === 0) await this.#end(room);
    if (this.broken.length === 0) this.#lookAtVerdicts(room.book);
    if (this.broken.length === 0) await this.#lookAtBooks(room);
  }

  #open(): Promise<GradingRoom> {
    return GradingRoom.open(aGradingId, this.#store, "hub", {
      clock: atOnce,
      makeId: () => anIdOf(++this.#madeByHub),
      box: aBox(),
    });
  }

  #act() {
    const chance = this.#dice.share();
    if (chance < 0.25) this.#dice.pick(this.#chiefs).act();
    else if (chance < 0.31) this.#actAtDesk();
    else this.#dice.pick(this.#judges).act();
  }
  #actAtDesk() {
    const { desk, children } = this.#hall;
    const { book } = desk;
    const candidate = this.#dice.pick(children);
    if (book.plan.isClosed) return;
    const act = this.#dice.pick([
      ...(["checked-in", "checked-in", "checked-in", "checked-in", "checked-in"] as const),
      ...(["absent", "unfit", "expected", "withdrawn", "excused", "excused"] as const),
    ]);
    if (act === "withdrawn") return desk.write(act, { candidate, why: "own-wish" });
    if (act !== "excused") return desk.write(act, { candidate });
    const items = (book.plan.rubricOf(candidate)?.sections ?? []).flatMap(({ id, items }) =>
      items.map((item) => ({ section: id, item: item.id })),
    );
    if (items.length === 0) return;
    const asked = this.#dice.pick(items);
    const isExcused = book.plan.excuse(candidate, asked.item) !== undefined;
    desk.write("excused", { candidate, ...asked, ...(isExcused ? { lifted: true } : {}) });
  }
  #closeEarly(isInReach: boolean): void {
    const chief = this.#dice.pick(this.#chiefs);
    chief.tablet.isOnline = isInReach;
    chief.close();
    this.isClosedEarly = true;
  }

  /** Everybody comes back; what is asked for is locked, answered, opened and decided, and the test is closed. */
  async #end(room: GradingRoom): Promise<void> {
    const [chief] = this.#chiefs;
    for (const tablet of this.#hall.tablets) tablet.isOnline = true;
    await this.#everybodyMeets(room);
    if (!room.book.plan.isClosed) {
      for (let round = 0; round < 2; round++)
        for (const judge of this.#judges) {
          judge.finish();
          await this.#everybodyMeets(room, 1);
        }
      chief.openAll();
      await this.#everybodyMeets(room);
      for (const judge of this.#judges) {
        judge.answerAll();
        await this.#everybodyMeets(room, 1);
      }
    }
    for (let round = 0; round < 2; round++) {
      chief.issueAll();
      await this.#everybodyMeets(room);
    }
    if (!room.book.plan.isClosed) chief.close();
    await this.#everybodyMeets(room);
  }

  async #everybodyMeets(room: GradingRoom, rounds = 3): Promise<void> {
    for (let round = 0; round < rounds; round++)
      for (const tablet of this.#hall.tablets) await this.#meet(room, tablet);
  }
  async #meet(room: GradingRoom, tablet: RoomTablet): Promise<void> {
    if (this.broken.length > 0) return;
    const onHanded: OnHanded = (_, lines, { kept, refused }) => {
      if (this.broken.length > 0) return;
      for (const entry of lines) {
        const fault = refused.find(({ id }) => id === entry.id)?.fault.code;
        this.#told.push(`${inShort(entry)}${fault ? ` REFUSED ${fault}` : ""}`);
        if (fault && !this.#refusedOnce.has(entry.id)) count(this.refused, fault);
        if (fault) this.#refusedOnce.add(entry.id);
        else count(this.taken, `${entry.kind}${decisionIn(entry)}`);
      }
      this.#witness.look(
        room,
        lines.filter(({ id }) => kept.includes(id)),
      );
      for (const what of this.#witness.broken) this.#break(what);
    };
    await tablet.meet(room, this.#share, onHanded);
  }
  #break(what: string): void {
    this.broken.push(`seed ${this.#seed}: ${what}, after\n  ${this.#told.join("\n  ")}`);
  }

  /** Whoever is here, and whose marks are open, has a verdict that can be relied on, and a sheet that went out with it. */
  #lookAtVerdicts(book: Scorebook): void {
    const [chief] = this.#hall.chiefs;
    for (const candidate of this.#hall.children) {
      const isOpen = SECTIONS.every(
        (section) =>
          !isAsked(chief, candidate, section) || book.openings.isRevealed(candidate, section),
      );
      if (!isOpen || isAway(book.floor.presence(candidate))) continue;
      if (!book.decisions.verdict(candidate)) this.#break(`${candidate} has no verdict`);
      const doubt = verdictDoubt(book, candidate);
      if (doubt) this.#break(`${candidate}'s verdict is doubted: ${doubt}`);
      if (!book.decisions.release(candidate)) this.#break(`${candidate}'s sheet is not released`);
      const found = asOpened(outcome(caseOf(book, candidate)));
      if (!sheetOf(book, candidate, found, library)) this.#break(`${candidate} has no sheet`);
    }
  }

  /** Whoever reads the same lines, in whatever order, says the same. */
  async #lookAtBooks(room: GradingRoom): Promise<void> {
    const whole = said(room.book);
    // What a hub took, `report`, `import` and `verify` take of its copy.
    for (const { fault } of strayMarks(room.book, [...room.book.entries()]))
      this.#break(`a copy of the day is refused: ${fault.code}`);
    const compare = (book: Scorebook, whose: string) => {
      for (const [at, words] of said(book).entries())
        if (words !== whole[at])
          this.#break(`${whose} says\n  ${words}\n  and the hub's\n  ${whole[at]}`);
    };
    for (let round = 0; round < 3; round++)
      compare(fold(shuffled([...room.book.entries()], this.#dice)), "a book in another order");
    for (const { book, person } of this.#hall.chiefs) compare(book, `${person}'s book`);
    const again = await this.#open();
    compare(again.book, "the book opened anew");
    for (const viewer of this.#viewers) {
      const [before, now] = [room, again].map((one) =>
        one
          .feed(viewer)
          .after(0)
          .map(({ entry }) => entry.id)
          .join(),
      );
      if (before !== now) this.#break(`${viewer.person}'s feed is another after a restart`);
    }
    for (const { device, unsent } of this.#hall.tablets)
      if (unsent.length > 0) this.#break(`${unsent.length} lines of ${device} wait for ever`);
  }
}

/** What a book says of each child. */
export function said(book: Scorebook): string[] {
  return book.plan.entrants.map(({ candidate, number, rubric }) => {
    const found = outcome(caseOf(book, candidate));
    const sorted = (list: readonly object[]) => list.map((one) => JSON.stringify(one)).sort();
    return JSON.stringify({
      ...{ candidate, number, rubric, presence: book.floor.presence(candidate) },
      opened: SECTIONS.map((section) => book.openings.openedAt(candidate, section) ?? null),
      lock: sorted(book.marks.of(candidate, "lock")),
      counts: sorted(book.marks.of(candidate, "verdict")),
      overalls: sorted(book.marks.overalls(candidate)),
      late: sorted(book.marks.late(candidate)),
      ...{ computed: found.computed, score: found.score, sections: found.sections },
      questions: sorted(
        found.questions.map(({ key, isSettled, effect }) => ({ key, isSettled, effect })),
      ),
      verdict: book.decisions.verdict(candidate)?.id ?? null,
      doubt: verdictDoubt(book, candidate) ?? null,
      released: book.decisions.release(candidate)?.id ?? null,
    });
  });
}

function shuffled<T>(list: readonly T[], dice: Dice): T[] {
  const order = list.map((one) => ({ one, at: dice.share() }));
  return order.sort((a, b) => a.at - b.at).map(({ one }) => one);
}

const count = (times: Map<string, number>, what: string): void => {
  times.set(what, (times.get(what) ?? 0) + 1);
};

/** How a question was settled. */
const decisionIn = ({ kind, body }: AnyEntry): string =>
  kind === "review-settled" ? ` ${(body as { decision?: string }).decision}` : "";

/** A line of the story: whose, when, what, of whom. */
function inShort({ device, n, lamport, kind, body }: AnyEntry): string {
  const words = JSON.stringify(body, (key, value) =>
    ["reason", "rubric", "basis", "how"].includes(key) && typeof value === "object"
      ? undefined
      : value,
  );
  return `${device} ${n}, time ${lamport}: ${kind} ${words}`;
}
