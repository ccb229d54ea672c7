import canonicalize from "canonicalize";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { isKnown } from "../../src/belt-test/scorebook/entry.ts";
import { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import { asOpened } from "../../src/belt-test/verdict/as-opened.ts";
import { caseOf } from "../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, EntryId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { Handed } from "../../src/hub/room/handed.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import type { Clock } from "../../src/ports/clock.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { aBox } from "../builders/a-box.ts";
import { anIdOf } from "../builders/a-pen.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { FinalAtOpening } from "./final-at-opening.ts";
import { SightOracle } from "./sight-oracle.ts";

/** What one device handed in, in one go. */
export interface HandIn {
  person: PersonId;
  roles: readonly Role[];
  device: DeviceId;
  alsoOn: readonly DeviceId[];
  entries: readonly unknown[];
  sides: readonly SideRecord[];
  isOut: boolean;
  isLiar: boolean;
}
/** What came in together, and goes into one commit. */
export type Round = readonly HandIn[];

export interface Looker {
  person: PersonId;
  roles: readonly Role[];
}
/** Everything that left for one recipient, round by round. */
export type Sent = Map<string, string[]>;

const judging: ReadonlySet<string> = new Set([
  ...["mark", "overall", "faults", "note", "locked", "answered", "held"],
]);

/** Commits are begun by hand, so no time passes. */
export const byHand: Clock = {
  nowMs: () => 1_780_000_000_000,
  steadyMs: () => 0,
  after: () => () => undefined,
  every: () => () => undefined,
};
/** For a room that is only read. */
export const atOnce: Clock = {
  ...byHand,
  after(_, work) {
    queueMicrotask(work);
    return () => undefined;
  },
};

/** A hub's room with everybody's feed read as it grows; nothing between it and whoever hands in. */
export class LyingHall {
  readonly grading: GradingId;
  readonly broken: string[] = [];
  readonly sent: Sent = new Map();
  readonly answers: Handed[][] = [];
  /** As the hub's export has it. */
  readonly all = new Scorebook();
  readonly onDisk: AnyEntry[] = [];
  /** The round in which each place, candidate/section, was opened. */
  readonly openedIn = new Map<string, number>();
  readonly room: GradingRoom;
  readonly #store: ScorebookStore;
  readonly #lookers: readonly Looker[];
  readonly #isWatched: boolean;
  readonly #oracle = new SightOracle();
  readonly #final = new FinalAtOpening();
  readonly #chief = new Scorebook();
  readonly #read = new Map<string, number>();
  /** Up to where each candidate was looked at. */
  readonly #compared = new Map<string, string>();
  #news: string[] = [];

  private constructor(
    room: GradingRoom,
    store: ScorebookStore,
    lookers: readonly Looker[],
    isWatched: boolean,
  ) {
    this.room = room;
    this.grading = room.grading;
    this.#store = store;
    this.#lookers = lookers;
    this.#isWatched = isWatched;
    room.onNews(({ coverage, turn }) =>
      this.#news.push(JSON.stringify([coverage.work, coverage.calls, turn?.seq ?? null])),
    );
  }
  /** @param isWatched  whether what was promised is looked at after every round */
  static async open(
    grading: GradingId,
    lookers: readonly Looker[],
    isWatched: boolean,
  ): Promise<LyingHall> {
    const store = openMemoryScorebook();
    let ids = 0;
    const makeId = () => anIdOf(2 ** 40 + ++ids);
    const room = await GradingRoom.open(grading, store, "hub", {
      clock: byHand,
      makeId,
      box: aBox(),
    });
    return new LyingHall(room, store, lookers, isWatched);
  }

  feed(looker: Looker, from = 0): AnyEntry[] {
    return this.room
      .feed(looker)
      .after(from)
      .map(({ entry }) => entry);
  }

  /** Hands everything in at once, and looks at what came of it. */
  async play(round: Round): Promise<Handed[]> {
    this.#news = [];
    const waiting = round.map(({ person, roles, device, alsoOn, isOut, entries, sides }) =>
      this.room.handIn(
        { person, roles, device, alsoOn: new Set(alsoOn), isOut: () => isOut },
        entries,
        sides,
      ),
    );
    const settled = Promise.allSettled(waiting);
    await this.room.flush();
    const answers = (await settled).map((one, index): Handed => {
      if (one.status === "fulfilled") return one.value;
      this.#breaks(`${round[index]?.device} had its hand-in thrown back: ${one.reason}`);
      return { kept: [], refused: [] };
    });
    this.answers.push(answers);
    await this.#take();
    this.#send(round, answers);
    if (this.#isWatched) this.#compare();
    return answers;
  }

  #breaks(what: string): void {
    if (this.broken.length < 10) this.broken.push(`round ${this.answers.length}: ${what}`);
  }

  async #take(): Promise<void> {
    const lines = await this.#store.read(this.grading, this.onDisk.length);
    const entries = lines.map(({ entry }) => entry);
    this.onDisk.push(...entries);
    for (const entry of entries) {
      this.all.add(entry);
      if (!isKnown(entry)) {
        this.#oracle.unknown(entry);
        continue;
      }
      this.#oracle.committed(entry);
      this.#final.committed(entry);
      // What the hub held is written beside an opening, and belongs to it.
      const next = entries[entries.indexOf(entry) + 1];
      if (next?.kind !== "held") this.#final.look((place) => this.#oracle.isRevealed(place));
    }
    for (const { candidate } of this.all.plan.entrants)
      for (const { id } of this.all.plan.rubricOf(candidate)?.sections ?? []) {
        const place = `${candidate}/${id}`;
        if (!this.openedIn.has(place) && this.#oracle.isRevealed(place))
          this.openedIn.set(place, this.answers.length);
      }
  }

  /** Notes what would have left for everybody, to the byte. The chain's links are left out: they are made with chance that nobody is told. */
  #send(round: Round, answers: readonly Handed[]): void {
    for (const looker of this.#lookers) {
      const { person, roles } = looker;
      const name = nameOf(looker);
      const from = this.#read.get(name) ?? 0;
      const entries = this.feed(looker, from);
      this.#read.set(name, from + entries.length);
      const leads = roles.includes("chief") || roles.includes("caller");
      const answered = answers.filter((_, index) => round[index]?.person === person);
      const bytes = JSON.stringify([entries, answered, leads ? this.#news : []]);
      const sent = this.sent.get(name);
      if (sent) sent.push(bytes);
      else this.sent.set(name, [bytes]);
      if (!this.#isWatched) continue;
      for (const entry of entries)
        if (!this.#oracle.maySee(looker, entry))
          this.#breaks(`${name} was sent ${entry.kind} ${entry.id} of ${entry.by}`);
      for (const leak of this.#oracle.leaksIn(looker, bytes))
        this.#breaks(`${name} was sent ${leak}`);
      if (person === "chief") for (const entry of entries) this.#chief.add(entry);
    }
  }

  /** The chief's screen and a report on the export say the same, and what stood stands. */
  #compare(): void {
    for (const { candidate } of this.all.plan.entrants) {
      const books = [this.#chief, this.all];
      const now = books
        .map((book) => `${book.candidateVersion(candidate)}/${book.planVersion}`)
        .join();
      if (this.#compared.get(candidate) === now) continue;
      this.#compared.set(candidate, now);
      const [screen, report] = books.map((book) => {
        try {
          return canonicalize(asOpened(outcome(caseOf(book, candidate))));
        } catch (error) {
          this.#breaks(`the outcome of ${candidate} threw ${error}`);
          return "";
        }
      });
      if (screen !== report) {
        let at = 0;
        while (screen?.[at] === report?.[at]) at++;
        const around = (text = "") => text.slice(Math.max(0, at - 60), at + 60);
        this.#breaks(
          `of ${candidate} the screen says …${around(screen)}…, a report …${around(report)}…`,
        );
      }
    }
    for (const change of this.#final.changed(this.all)) this.#breaks(change);
  }

  /** At the day's end, with everybody back and the test closed. */
  async judgeTheEnd(): Promise<void> {
    for (const looker of this.#lookers) {
      const { person, roles } = looker;
      const name = nameOf(looker);
      const held = new Set<EntryId>(this.feed(looker).map(({ id }) => id));
      for (const entry of this.onDisk) {
        if (!judging.has(entry.kind) || held.has(entry.id) || !isKnown(entry)) continue;
        const isDue =
          entry.by === person ||
          roles.includes("chief") ||
          (roles.includes("judge") &&
            placesOf(entry).every((place) => this.#oracle.hasLocked(person, place)));
        if (isDue) this.#breaks(`${name} never got ${entry.kind} ${entry.id} of ${entry.by}`);
      }
    }
    // A hub that starts anew sends everybody the same.
    const again = await GradingRoom.open(this.grading, this.#store, "hub", { clock: atOnce });
    for (const looker of this.#lookers) {
      const [now, then] = [again, this.room].map((room) =>
        JSON.stringify(room.feed(looker).after(0)),
      );
      if (now !== then) this.#breaks(`${nameOf(looker)} is sent another feed after a restart`);
    }
  }
}

export const nameOf = ({ person, roles }: Looker): string => `${person} (${roles.join()})`;

/** Candidate/section, each that an entry speaks of. */
export function placesOf(entry: AnyEntry): string[] {
  const { section, candidate, candidates, cells } = entry.body as {
    section?: unknown;
    candidate?: unknown;
    candidates?: unknown[];
    cells?: { candidate: unknown }[];
  };
  const children = [
    ...(candidate === undefined ? [] : [candidate]),
    ...(Array.isArray(candidates) ? candidates : []),
    ...(Array.isArray(cells) ? cells.map((cell) => cell.candidate) : []),
  ];
  return [...new Set(children.map((one) => `${one}/${section}`))];
}
