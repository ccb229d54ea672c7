import { harmlessAll } from "../../book/harmless-text.ts";
import type { PersonId, TextRef } from "../../book/identity.ts";
import { historyOf, insertByAge, keyed, newestOf } from "../../book/keyed.ts";
import { byAge, type History, Newest, NOW } from "../../book/order.ts";
import type { CandidateId, ItemId, RubricId } from "../identity.ts";
import type { Role } from "../kinds/body-parts.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
import type { Rubric } from "../rubric/rubric.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import type { Folds } from "./folds.ts";
import { type LaneWord, laneWords, type Stands, standAt, standsOf } from "./lane-words.ts";
import { type Rules, rulesOf } from "./rules.ts";

export interface Seat {
  person: PersonId;
  roles: Role[];
  details: TextRef | undefined;
}
export interface Entrant {
  candidate: CandidateId;
  number: number;
  rubric: RubricId;
  details: TextRef | undefined;
  given: TextRef | undefined;
}

/** What was planned: by which rubrics, who is entered, who has which roles, who stands in which wave; and whether the test has begun and is closed. */
export class Plan {
  readonly #versions: CandidateVersions;
  readonly #opened = new Newest<EntryBody<"opened">>();
  /** The oldest: whoever writes the title anew does not change the rules. */
  #openedFirst: EntryOf<"opened"> | undefined;
  readonly #started = new Newest<true>();
  readonly #closed = new Newest<EntryOf<"closed">>();
  readonly #rubrics = new Map<RubricId, History<Rubric>>();
  #library: EntryOf<"faults-frozen"> | undefined;
  readonly #seats = new Map<PersonId, History<Seat>>();
  readonly #entered = new Map<CandidateId, History<Entrant>>();
  readonly #excused = new Map<CandidateId, Map<ItemId, Newest<EntryBody<"excused">>>>();
  readonly #waves = new Map<number, History<readonly CandidateId[]>>();
  readonly #swapped: EntryOf<"lanes-swapped">[] = [];
  readonly #calls: () => readonly EntryOf<"called">[];
  /** Reckoned when it is asked for, by wave; of so many calls. */
  readonly #laneWords = new Map<number, { of: number; words: LaneWord[]; stands: Stands }>();
  #version = 0;

  /** @param calls  of all waves, oldest first */
  constructor(versions: CandidateVersions, calls: () => readonly EntryOf<"called">[]) {
    this.#versions = versions;
    this.#calls = calls;
  }

  readonly folds = {
    opened: (entry) => {
      this.#version++;
      this.#opened.offer(harmlessAll(entry.body), entry);
      if (!this.#openedFirst || byAge(entry, this.#openedFirst) < 0) this.#openedFirst = entry;
    },
    frozen: (entry) => this.#offerRubric(entry),
    "rubric-replaced": (entry) => this.#offerRubric(entry),
    "faults-frozen": (entry) => {
      this.#version++;
      // The first stands: what somebody was told once is not told otherwise.
      if (!this.#library || byAge(entry, this.#library) < 0)
        this.#library = { ...entry, body: harmlessAll(entry.body) };
    },
    seated: (entry) => {
      this.#version++;
      const { person, roles, details } = entry.body;
      historyOf(this.#seats, person).offer({ person, roles, details }, entry);
    },
    entered: (entry) => {
      this.#version++;
      const { candidate, number, rubric, details, given } = entry.body;
      this.#versions.touch(candidate);
      const entrant = { candidate, number, rubric, details, given };
      historyOf(this.#entered, candidate).offer(entrant, entry);
    },
    excused: (entry) => {
      this.#version++;
      const { candidate, item } = entry.body;
      this.#versions.touch(candidate);
      newestOf(
        keyed(this.#excused, candidate, () => new Map()),
        item,
      ).offer(entry.body, entry);
    },
    "lined-up": (entry) => {
      this.#version++;
      this.#laneWords.delete(entry.body.wave);
      historyOf(this.#waves, entry.body.wave).offer(entry.body.lanes, entry);
    },
    "lanes-swapped": (entry) => {
      this.#laneWords.delete(entry.body.wave);
      insertByAge(this.#swapped, entry);
    },
    started: (entry) => {
      this.#started.offer(true, entry);
    },
    closed: (entry) => {
      // What was never opened is open from here on.
      this.#version++;
      this.#closed.offer(entry, entry);
    },
  } satisfies Folds;

  #offerRubric(entry: EntryOf<"frozen" | "rubric-replaced">): void {
    this.#version++;
    historyOf(this.#rubrics, entry.body.rubric.id).offer(harmlessAll(entry.body.rubric), entry);
  }

  /** Grows with every entry that changes who is asked what: not with two who stand in each other's place. */
  get version(): number {
    return this.#version;
  }
  get opened(): EntryBody<"opened"> | undefined {
    return this.#opened.value;
  }
  /** By which rules this book is read. */
  get rules(): Rules {
    return rulesOf(this.#openedFirst?.body.rules);
  }
  get isStarted(): boolean {
    return this.#started.value === true;
  }
  get isClosed(): boolean {
    return this.#closed.value !== undefined;
  }
  /** The entry that closed the belt test. */
  get closing(): EntryOf<"closed"> | undefined {
    return this.#closed.value;
  }
  rubric(id: RubricId): Rubric | undefined {
    return this.#rubrics.get(id)?.value;
  }
  get rubrics(): Rubric[] {
    return [...this.#rubrics.values()].flatMap((register) => register.value ?? []);
  }
  /** The fault library frozen with this grading; undefined in a book from before that was done. */
  get library(): FaultLibrary | undefined {
    return this.#library?.body.library;
  }
  /** @param at  logical time: by which rubric the candidate was tested then */
  rubricOf(candidate: CandidateId, at = NOW): Rubric | undefined {
    const entrant = this.#entered.get(candidate)?.at(at);
    return entrant && this.#rubrics.get(entrant.rubric)?.at(at);
  }
  /** Every rubric that there ever was, or that this candidate ever had, in each of its forms: what was marked by one was right then. */
  rubricsEver(candidate?: CandidateId): Rubric[] {
    const ids = candidate
      ? this.#entered.get(candidate)?.states.map(({ value }) => value.rubric)
      : this.#rubrics.keys();
    return [...new Set(ids)].flatMap(
      (id) => this.#rubrics.get(id)?.states.map(({ value }) => value) ?? [],
    );
  }
  get seats(): Seat[] {
    return [...this.#seats.values()].flatMap((register) => register.value ?? []);
  }
  seat(person: PersonId): Seat | undefined {
    return this.#seats.get(person)?.value;
  }
  /** Whether somebody has, or once had, this role. */
  hasBeen(person: PersonId, role: Role): boolean {
    return this.rolesEver(person).has(role);
  }
  /** Every role that somebody has, or once had. */
  rolesEver(person: PersonId): ReadonlySet<Role> {
    const states = this.#seats.get(person)?.states ?? [];
    return new Set(states.flatMap(({ value }) => value.roles));
  }
  /** Everybody entered, by number. */
  get entrants(): Entrant[] {
    return [...this.#entered.values()]
      .flatMap((entered) => asNamed(entered) ?? [])
      .sort((a, b) => a.number - b.number);
  }
  /** Everybody entered, in no order. */
  get candidates(): Iterable<CandidateId> {
    return this.#entered.keys();
  }
  entrant(candidate: CandidateId): Entrant | undefined {
    const entered = this.#entered.get(candidate);
    return entered && asNamed(entered);
  }
  /** Undefined where the item is asked, also where an excuse was lifted. */
  excuse(candidate: CandidateId, item: ItemId): EntryBody<"excused"> | undefined {
    const said = this.excuseSaid(candidate, item);
    return said?.lifted ? undefined : said;
  }
  /** The last that was said of it, an excuse or the end of one. */
  excuseSaid(candidate: CandidateId, item: ItemId): EntryBody<"excused"> | undefined {
    return this.#excused.get(candidate)?.get(item)?.value;
  }
  get waves(): { wave: number; lanes: readonly CandidateId[] }[] {
    return this.waveNumbers.map((wave) => ({ wave, lanes: this.lanes(wave) }));
  }
  /** The waves in which somebody is: one that was emptied is none any more. */
  get filledWaves(): number[] {
    return this.waveNumbers.filter((wave) => this.inWave(wave).length > 0);
  }
  get waveNumbers(): number[] {
    return [...this.#waves.keys()].sort((a, b) => a - b);
  }
  /** Who is in a wave, wherever they stand in it: the chief's newest word says it, whatever was said of two who stand in each other's place. */
  inWave(wave: number): readonly CandidateId[] {
    return this.#waves.get(wave)?.value ?? [];
  }
  waveOf(candidate: CandidateId): number | undefined {
    return this.waveNumbers.find((wave) => this.inWave(wave).includes(candidate));
  }
  /** Who stands where now; left to right from the judges' table. */
  lanes(wave: number): readonly CandidateId[] {
    return standAt(this.stands(wave));
  }
  /** Who stood where from a call on. @param call  its index among the calls of the wave @param lamport  without what the chief wrote of all of them later */
  lanesAt(wave: number, call: number, lamport = NOW): readonly CandidateId[] {
    const { words, stands } = this.#wordsOf(wave);
    return standAt(lamport === NOW ? stands : standsOf(words, lamport), call);
  }
  /** Who stood where from call to call. */
  stands(wave: number): Stands {
    return this.#wordsOf(wave).stands;
  }
  /** All that was said of them, in the order in which it counts. */
  laneWords(wave: number): readonly LaneWord[] {
    return this.#wordsOf(wave).words;
  }
  #wordsOf(wave: number) {
    const calls = this.#calls();
    const known = this.#laneWords.get(wave);
    if (known?.of === calls.length) return known;
    const words = laneWords(
      this.#waves.get(wave)?.states ?? [],
      this.#swapped.filter(({ body }) => body.wave === wave),
      calls.filter(({ body }) => body.wave === wave),
    );
    const its = { of: calls.length, words, stands: standsOf(words) };
    this.#laneWords.set(wave, its);
    return its;
  }
  /** Everything that was ever said of two who stand in each other's place, in all waves, oldest first. */
  get swapsSaid(): readonly EntryOf<"lanes-swapped">[] {
    return this.#swapped;
  }
  /** Logical time at which the chief wrote the lanes of a wave last; 0 for never. */
  linedUpAt(wave: number): number {
    return this.#waves.get(wave)?.states[0]?.stamp.lamport ?? 0;
  }
}

/** As entered last, under the name said last: an entry without one half of the name takes neither away. */
function asNamed({ value, states }: History<Entrant>): Entrant | undefined {
  if (!value || (value.details && value.given)) return value;
  const last = (half: "details" | "given") => states.find((said) => said.value[half])?.value[half];
  return { ...value, details: last("details"), given: last("given") };
}
