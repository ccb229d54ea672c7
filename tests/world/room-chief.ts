import { releaseOf } from "../../src/belt-test/feedback/release-of.ts";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import { givenPlaces } from "../../src/belt-test/scorebook/given-places.ts";
import { heldAtGiving, heldAtOpening } from "../../src/belt-test/scorebook/held-on-the-road.ts";
import { isShutTo } from "../../src/belt-test/scorebook/is-shut-to.ts";
import { opensWithout } from "../../src/belt-test/scorebook/opens-without.ts";
import { isAway } from "../../src/belt-test/scorebook/presence.ts";
import { heldBesideVerdicts, heldOf } from "../../src/belt-test/scorebook/what-was-held.ts";
import { asOpened } from "../../src/belt-test/verdict/as-opened.ts";
import { caseOf } from "../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import { hindrances } from "../../src/belt-test/verdict/question-queue.ts";
import { offeredRepeat } from "../../src/belt-test/verdict/retest-set.ts";
import { knownAtVerdict, verdictDoubt } from "../../src/belt-test/verdict/verdict-doubt.ts";
import type { PersonId } from "../../src/book/identity.ts";
import type { Dice } from "./dice.ts";
import { isAsked, type RoomHall, SECTIONS } from "./room-hall.ts";
import type { RoomTablet } from "./room-tablet.ts";

/** How often each of a chief's acts is tried on an even day, before the closing. */
const EVENLY = {
  checkIn: 6,
  leave: 3,
  watch: 14,
  giveAway: 5,
  enterAnew: 3,
  open: 5,
  ask: 13,
  settle: 13,
  decide: 18,
  release: 6,
} as const;
type Act = keyof typeof EVENLY;
/** What a chief does more often on some days. */
const tempers: readonly Partial<Record<Act, number>>[] = [
  {},
  // Nobody waits for anybody: much comes late, and is let count or not.
  { open: 25, settle: 40, giveAway: 9 },
  // Judges come and go.
  { watch: 25, giveAway: 15, open: 9 },
];
/** What a chief does when the test is closed. */
const after = ["settle", "decide", "release"] as const;

/** A chief's hand: the plan in the middle of a test, openings, requests, questions, verdicts, the closing. */
export class RoomChief {
  readonly tablet: RoomTablet;
  readonly #hall: RoomHall;
  readonly #dice: Dice;
  readonly #acts: readonly Act[];
  readonly #isOnRoad: boolean;
  readonly #givesBack: boolean;

  /**
   * @param day.isOnRoad  there is no hub: this device says itself what it holds
   * @param day.givesBack  places that were given away go back, too
   */
  constructor(
    tablet: RoomTablet,
    hall: RoomHall,
    dice: Dice,
    { isOnRoad = false, givesBack = false } = {},
  ) {
    this.tablet = tablet;
    this.#isOnRoad = isOnRoad;
    this.#givesBack = givesBack;
    this.#hall = hall;
    this.#dice = dice;
    const often = Object.entries({ ...EVENLY, ...dice.pick(tempers) });
    this.#acts = often.flatMap(([act, times]) => Array<Act>(times).fill(act as Act));
  }
  get #book() {
    return this.tablet.book;
  }

  /** Does one thing, or nothing. */
  act() {
    const dice = this.#dice;
    if (!this.#book.plan.isStarted) return;
    const candidate = dice.pick(this.#hall.children);
    switch (dice.pick(this.#book.plan.isClosed ? after : this.#acts)) {
      case "checkIn":
        return this.tablet.write("checked-in", { candidate });
      case "leave":
        return this.#leave(candidate);
      case "watch":
        return this.#watch(candidate);
      case "giveAway":
        return this.#giveAway();
      case "enterAnew":
        return this.#enterAnew(candidate);
      case "open":
        return this.#openByHand(candidate, dice.pick(SECTIONS));
      case "ask":
        return this.#ask(candidate);
      case "settle":
        return this.#settle(candidate);
      case "decide":
        return this.#decide(candidate);
      case "release":
        return this.#release(candidate);
    }
  }

  close(): void {
    const { reason, side } = this.#hall.because(this.tablet.person);
    const basis = heldBesideVerdicts(this.#book);
    this.tablet.write("closed", { reason, basis }, { side });
  }
  /** At the end of a day: opens what waits for somebody who will not come. */
  openAll(): void {
    for (const candidate of this.#hall.children)
      for (const section of SECTIONS) this.#openByHand(candidate, section);
  }
  /** At the end of a day: a verdict that can be relied on for everybody who is here, and its sheet. */
  issueAll(): void {
    for (const candidate of this.#hall.children) {
      if (isAway(this.#book.floor.presence(candidate))) continue;
      const isDone =
        this.#book.decisions.verdict(candidate) && !verdictDoubt(this.#book, candidate);
      if (!isDone) this.#issue(candidate);
      this.#release(candidate);
    }
  }

  #leave(candidate: CandidateId): void {
    const dice = this.#dice;
    if (dice.falls(0.5)) this.tablet.write(dice.pick(["absent", "unfit"]), { candidate });
    else this.tablet.write("withdrawn", { candidate, why: dice.pick(["hurt", null]) });
  }

  #judges(): PersonId[] {
    return [...new Set(this.#hall.judges.map(({ person }) => person))];
  }
  #watchedBy(judge: PersonId, section: SectionId): CandidateId[] {
    return this.#book.panel.assignments
      .filter((one) => one.judge === judge && one.section === section && one.wave === 1)
      .flatMap(({ candidates }) => candidates);
  }
  /** Assigned, or taken off. */
  #watch(candidate: CandidateId): void {
    const section = this.#dice.pick(SECTIONS);
    if (!isAsked(this.tablet, candidate, section)) return;
    const judge = this.#dice.pick(this.#judges());
    const before = this.#watchedBy(judge, section);
    this.#assign(
      judge,
      section,
      before.includes(candidate)
        ? before.filter((one) => one !== candidate)
        : [...before, candidate],
    );
  }
  /** Where the marks are open who made them stays, and nobody is taken off whom they wait for alone. */
  #assign(judge: PersonId, section: SectionId, wanted: readonly CandidateId[]): void {
    const book = this.#book;
    const before = this.#watchedBy(judge, section);
    const isOpen = (one: CandidateId) =>
      book.openings.openedAt(one, section) !== undefined ||
      opensWithout(
        book,
        { candidate: one, section },
        ({ holders: [first] }) => first === judge,
        (other) => book.openings.hasLocked(other, one, section),
      );
    const stay = before.filter((one) => isOpen(one) && !wanted.includes(one));
    const may = wanted.filter(
      (one) => before.includes(one) || !isShutTo(book, judge, one, section),
    );
    const candidates = [...stay, ...may];
    if (candidates.join() !== before.join())
      this.tablet.write("assigned", { judge, section, wave: 1, candidates });
  }
  #giveAway(): void {
    const { panel, marks } = this.#book;
    // Mostly of whoever was late.
    const late = this.#hall.children.flatMap((one) => marks.late(one).map(({ judge }) => judge));
    const isLate = late.length > 0 && this.#dice.falls(0.6);
    const judge = this.#dice.pick(isLate ? late : this.#judges());
    const others = this.#judges().filter((one) => one !== judge && panel.successor(one) === one);
    const back = this.#givesBack ? givenPlaces(this.#book) : [];
    const isBack = back.length > 0 && this.#dice.falls(0.4);
    if (others.length === 0 && !isBack) return;
    const { holder, from, places } = isBack ? this.#dice.pick(back) : { holder: judge };
    const given = { judge: holder, by: from ?? this.#dice.pick(others), ...(places && { places }) };
    if (!this.#isOnRoad) {
      this.tablet.write("judge-replaced", given);
      return;
    }
    const held = heldAtGiving(this.#book, given);
    const { id: of } = this.tablet.write("judge-replaced", { ...given, isHeldBeside: true });
    this.tablet.write("held-at-giving", { of, ...held });
  }
  /** The other rubric, with a reason, and mostly the panel for what it asks besides. */
  #enterAnew(candidate: CandidateId): void {
    const entrant = this.#book.plan.entrant(candidate);
    const other = this.#book.plan.rubrics.find(({ id }) => id !== entrant?.rubric);
    if (!entrant || !other) return;
    const { reason, side } = this.#hall.because(candidate);
    const body = { candidate, number: entrant.number, rubric: other.id, reason };
    this.tablet.write("entered", body, { side });
    if (this.#dice.falls(0.4)) return;
    for (const judge of this.#hall.panel)
      for (const { id } of other.sections) {
        const before = this.#watchedBy(judge, id);
        if (!before.includes(candidate)) this.#assign(judge, id, [...before, candidate]);
      }
  }
  #openByHand(candidate: CandidateId, section: SectionId): void {
    if (!isAsked(this.tablet, candidate, section)) return;
    if (this.#book.openings.isRevealed(candidate, section)) return;
    const { reason, side } = this.#hall.because(this.#dice.pick(this.#hall.panel));
    const held = this.#isOnRoad ? heldAtOpening(this.#book, candidate, section) : {};
    this.tablet.write("revealed", { section, candidates: [candidate], reason, ...held }, { side });
  }
  #ask(candidate: CandidateId): void {
    const book = this.#book;
    const places = SECTIONS.filter((section) =>
      book.openings.isRevealed(candidate, section),
    ).flatMap((section) =>
      book.panel
        .judgesOf(candidate, section)
        .flatMap((judge) =>
          assignedPlaces(book, judge, candidate, section).map((place) => ({ judge, ...place })),
        ),
    );
    if (places.length === 0) return;
    const { judge, ...place } = this.#dice.pick(places);
    this.tablet.write("remark-asked", { judge, candidate, ...place, ask: "talk" });
  }

  #outcome(candidate: CandidateId) {
    return asOpened(outcome(caseOf(this.#book, candidate)));
  }
  #settle(candidate: CandidateId): void {
    const questions = this.#outcome(candidate).questions.filter(({ isSettled }) => !isSettled);
    if (questions.length === 0) return;
    const late = questions.filter(({ kind }) => kind === "late");
    const { key: question, kind } = this.#dice.pick(late.length > 0 ? late : questions);
    const isLate = kind === "late";
    const { reason, side } = this.#hall.because(candidate);
    const decision = isLate
      ? this.#dice.pick(["late-counts", "late-counts", "late-refused"] as const)
      : ("stands" as const);
    const basis = isLate ? { basis: heldOf(this.#book, candidate) } : {};
    this.tablet.write(
      "review-settled",
      { question, candidate, decision, reason, ...basis },
      { side },
    );
  }
  /** What nothing stands in the way of, and now and then anew. */
  #decide(candidate: CandidateId): void {
    const isHindered = hindrances(this.#outcome(candidate)).length > 0;
    const isAgain = this.#book.decisions.verdict(candidate) !== undefined;
    if (!this.#dice.falls((isHindered ? 0.05 : 1) * (isAgain ? 0.1 : 1))) return;
    this.#issue(candidate);
  }
  #issue(candidate: CandidateId): void {
    const book = this.#book;
    const found = this.#outcome(candidate);
    const { computed } = found;
    const result =
      computed === "incomplete" ? this.#dice.pick(["pass", "retest"] as const) : computed;
    const { reason, side } = this.#hall.because(candidate);
    this.tablet.write(
      "verdict",
      {
        ...{ candidate, result, computed, reason },
        retestSections: result === "retest" ? offeredRepeat(found) : [],
        basis: heldOf(book, candidate),
        ...knownAtVerdict(book, candidate),
      },
      { side },
    );
  }
  #release(candidate: CandidateId): void {
    const { decisions } = this.#book;
    if (decisions.verdict(candidate) && !decisions.release(candidate))
      this.tablet.write("sheet-released", releaseOf(this.#book, candidate));
  }
}
