import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { waveScript } from "../../src/belt-test/planning/wave-script.ts";
import { meetsLevelAt, sectionOf } from "../../src/belt-test/rubric/lookup.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import { heads, type Place } from "../../src/belt-test/scorebook/cell.ts";
import type { EntryBody, EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import { basisOf, lockBody, requestFor } from "../../src/belt-test/scorebook/judge-view.ts";
import { countOf } from "../../src/belt-test/scorebook/place-counts.ts";
import { isAway } from "../../src/belt-test/scorebook/presence.ts";
import { marksAtLanes } from "../../src/belt-test/scorebook/stray-lanes.ts";
import { lanesOnceSwapped, swapOf } from "../../src/belt-test/scorebook/swapped-lanes.ts";
import { lastUndoable, undoOf, writtenTogether } from "../../src/belt-test/scorebook/undo.ts";
import type { Dice } from "./dice.ts";
import { isAsked, type RoomHall, SECTIONS } from "./room-hall.ts";
import type { RoomTablet } from "./room-tablet.ts";

/** A judge's hand on one tablet, as the glass guides it. */
export class RoomJudge {
  readonly tablet: RoomTablet;
  readonly #hall: RoomHall;
  readonly #dice: Dice;

  constructor(tablet: RoomTablet, hall: RoomHall, dice: Dice) {
    this.tablet = tablet;
    this.#hall = hall;
    this.#dice = dice;
  }
  get #book() {
    return this.tablet.book;
  }
  get #me() {
    return this.tablet.person;
  }

  /** Does one thing, or nothing. */
  act() {
    const dice = this.#dice;
    if (!this.#book.plan.isStarted || this.#book.plan.isClosed) return;
    const [request] = this.#book.requests.openTo(this.#me);
    if (request && dice.falls(0.5)) return this.#lookAgain(request);
    const chance = dice.share();
    if (chance < 0.04) return this.#swap();
    if (chance < 0.1) return this.#undo();
    const watched = this.#watched();
    if (watched.length === 0) return;
    if (chance < 0.12) return this.#stepBack(dice.pick(watched));
    const places = watched.filter(({ candidate, section }) => !this.#hasLocked(candidate, section));
    if (places.length === 0) return;
    const { candidate, section } = dice.pick(places);
    if (chance < 0.2) return this.#judgeAll(candidate, section);
    const blank = this.#blank(candidate, section);
    if (blank.length === 0 && chance < 0.8) return this.#lock(candidate, section);
    if (blank.length > 0 && chance < 0.5) {
      this.#fill(candidate, blank);
      if (dice.falls(0.5)) this.#lock(candidate, section);
      return;
    }
    const asked = assignedPlaces(this.#book, this.#me, candidate, section);
    if (asked.length > 0) this.#mark(candidate, dice.pick(asked), this.#level(section));
  }

  /** At the end of a day: fills and locks what is asked for still. */
  finish(): void {
    for (const { candidate, section } of this.#watched()) {
      if (this.#hasLocked(candidate, section)) continue;
      this.#fill(candidate, this.#blank(candidate, section));
      this.#lock(candidate, section);
    }
  }
  /** At the end of a day: has looked again at all that was asked. */
  answerAll(): void {
    for (const request of this.#book.requests.openTo(this.#me)) this.#answer(request);
  }

  #hasLocked(candidate: CandidateId, section: SectionId): boolean {
    return this.#book.openings.hasLocked(this.#me, candidate, section);
  }
  #watched(): { candidate: CandidateId; section: SectionId }[] {
    const book = this.#book;
    return this.#hall.children
      .filter((candidate) => !isAway(book.floor.presence(candidate)))
      .flatMap((candidate) => SECTIONS.map((section) => ({ candidate, section })))
      .filter(
        ({ candidate, section }) =>
          isAsked(this.tablet, candidate, section) &&
          book.panel.judgesOf(candidate, section).includes(this.#me),
      );
  }
  #blank(candidate: CandidateId, section: SectionId): Place[] {
    return assignedPlaces(this.#book, this.#me, candidate, section).filter(
      (place) => !this.#book.marks.cell(this.#me, candidate, place),
    );
  }
  #level(section: SectionId): number | "not-seen" {
    if (this.#dice.falls(0.06)) return "not-seen";
    return this.#dice.whole(1, section === "etiquette" ? 2 : 4);
  }

  #mark(
    candidate: CandidateId,
    { criterion, ...row }: Place,
    level: EntryBody<"mark">["cells"][number]["level"],
    act: { batch?: string; how: "rest" | "tapped" } = { how: "tapped" },
  ): void {
    const { how, ...batch } = act;
    const book = this.#book;
    const body = { ...row, cells: [{ candidate, criterion, level, how }], ...batch };
    // After the lock a mark counts only where it answers what the chief asked.
    const request = this.#hasLocked(candidate, row.section)
      ? requestFor(book, this.#me, candidate, row)
      : undefined;
    const answers = request ? { answers: request.id } : {};
    this.tablet.write("mark", { ...body, ...answers }, { replaces: this.#replaced(body) });
  }
  /** What this judge's other tablet wrote, and this one has seen, is knowingly replaced. */
  #replaced({ cells, ...row }: Pick<EntryBody<"mark">, "section" | "item" | "side" | "cells">) {
    return cells.flatMap(({ candidate, criterion }) => {
      const own = countOf(this.tablet.device, { candidate, section: row.section });
      return heads(this.#book.marks.writes(this.#me, candidate, { ...row, criterion }))
        .filter(({ device }) => device !== own)
        .map(({ entry }) => entry);
    });
  }
  #fill(candidate: CandidateId, blank: readonly Place[]): void {
    const batch = this.#hall.newBatch();
    const rubric = this.#book.plan.rubricOf(candidate);
    for (const place of blank) {
      const section = rubric && sectionOf(rubric, place.section);
      if (section)
        this.#mark(candidate, place, meetsLevelAt(rubric, section), { batch, how: "rest" });
    }
  }
  #stepBack({ candidate, section }: { candidate: CandidateId; section: SectionId }) {
    if (this.#dice.falls(0.3))
      return this.tablet.write("related", { candidate, relation: "own-student" });
    this.tablet.write("recused", { candidate, section: this.#dice.pick([section, null]) });
  }
  #judgeAll(candidate: CandidateId, section: SectionId): void {
    const judgement = this.#dice.whole(1, 4);
    this.tablet.write("overall", { candidate, section, judgement });
  }
  #lock(candidate: CandidateId, section: SectionId): void {
    this.tablet.write("locked", lockBody(this.#book, this.#me, section, candidate));
  }

  #lookAgain(request: EntryOf<"remark-asked">): void {
    const { candidate, section, item, side, criterion } = request.body;
    const asked = assignedPlaces(this.#book, this.#me, candidate, section).find(
      (place) =>
        place.item === item &&
        place.side === side &&
        (criterion === null || place.criterion === criterion),
    );
    if (asked && this.#dice.falls(0.6)) this.#mark(candidate, asked, this.#level(section));
    if (this.#dice.falls(0.6)) this.#answer(request);
  }
  #answer({ id: request, body: { candidate, section } }: EntryOf<"remark-asked">): void {
    const basis = basisOf(this.#book, this.#me, { candidate, section });
    this.tablet.write("answered", { request, candidate, section, basis });
  }

  /** Two children stood in each other's place: their lanes change for everybody, and this judge's marks of this call go with them. */
  #swap(): void {
    const lanes = this.#book.plan.lanes(1);
    const [a, b] = [this.#dice.pick(lanes), this.#dice.pick(lanes)];
    if (a === b) return;
    const row = this.#dice.pick([
      { item: "rising-block", side: "left" },
      { item: "rising-block", side: null },
      { item: null, side: null },
    ]);
    const at = { section: "blocks", ...row } as Omit<Place, "criterion">;
    const step = waveScript(this.#book, 1).find(
      ({ section, item, markedSide }) =>
        section === at.section && item === at.item && markedSide === at.side,
    );
    if (!step) return;
    const stand = step.lanes ?? [];
    const { bodies } = marksAtLanes(this.#book, this.#me, 1, step, lanesOnceSwapped(stand, [a, b]));
    const batch = this.#hall.newBatch();
    this.tablet.write("lanes-swapped", { wave: 1, ...swapOf(stand, [a, b]), batch });
    for (const body of bodies)
      this.tablet.write("mark", { ...body, batch }, { replaces: this.#replaced(body) });
  }
  #undo(): void {
    const book = this.#book;
    const last = lastUndoable(book, this.#me);
    if (!last) return;
    const batch = { batch: this.#hall.newBatch() };
    const undos = writtenTogether(book, last).map((one) => undoOf(book, one));
    for (const { kind, body, replaces } of undos)
      this.tablet.write(kind, { ...body, ...(undos.length > 1 ? batch : {}) }, { replaces });
  }
}
