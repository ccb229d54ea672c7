import { harmlessAll } from "../../book/harmless-text.ts";
import type { EntryId, PersonId } from "../../book/identity.ts";
import { byAge, History, Newest, NOW, type Stamp } from "../../book/order.ts";
import type {
  AnchorId,
  CandidateId,
  CriterionId,
  FaultId,
  ItemId,
  RubricId,
  SectionId,
} from "../identity.ts";
import type { Basis, Role, TextRef } from "../kinds/body-parts.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
import { sectionOf } from "../rubric/lookup.ts";
import type { Rubric } from "../rubric/rubric.ts";
import {
  CellHistory,
  isInConflict,
  type Mark,
  type Place,
  placeKey,
  standing,
  type Write,
} from "./cell.ts";
import {
  type AnyEntry,
  asRead,
  type Entry,
  type EntryBody,
  type EntryOf,
  isKnown,
} from "./entry.ts";
import { tellsOfCount } from "./out-of-turn.ts";
import { isAway, type Presence } from "./presence.ts";
import { type Rules, rulesOf } from "./rules.ts";
import { isIn, type Seal, type Sealing, sealed, sealOf } from "./seal.ts";

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
export interface FaultsSeen extends Place {
  judge: PersonId;
  candidate: CandidateId;
  faults: readonly FaultId[];
}
interface OverallWrite extends Stamp {
  judgement: number | null;
  answers: EntryId | undefined;
}

/** What was written of one candidate. `version` grows with every entry that touches the candidate. */
class CandidatePages {
  version = 0;
  readonly entered = new History<Entrant>();
  readonly presence = new Newest<EntryOf<Exclude<Presence, "withdrawn">>>();
  readonly withdrawn = new Newest<EntryOf<"withdrawn">>();
  readonly cells = new Map<string, CellHistory>();
  readonly overall = new Map<
    string,
    { judge: PersonId; section: SectionId; writes: OverallWrite[] }
  >();
  readonly faults = new Map<
    string,
    { place: Place; judge: PersonId; seen: History<readonly FaultId[]> }
  >();
  readonly notes: EntryOf<"note">[] = [];
  readonly excused = new Map<ItemId, Newest<EntryBody<"excused">>>();
  readonly relations = new Map<PersonId, Newest<EntryBody<"related">["relation"]>>();
  /** The first word of each judge, for a section or for all: what is said again changes nothing. */
  readonly recused = new Map<string, EntryOf<"recused">>();
  /** Of each judge and section, oldest first: one, but where two tablets did not know each other. */
  readonly locks = new Map<string, Sealing[]>();
  readonly openedByChief: EntryOf<"revealed">[] = [];
  readonly held = new Map<string, (Sealing & { of: EntryId })[]>();
  /** When each section was opened, as reckoned last: kept until the plan or a lock is another. */
  readonly openedAt = new Map<SectionId, { of: number; at: number | undefined }>();
  /** Grows with every lock and every opening. */
  sealVersion = 0;
  readonly verdict = new Newest<EntryOf<"verdict">>();
  /** All there were, in no order. */
  readonly verdicts: EntryOf<"verdict">[] = [];
  readonly settled = new Map<string, Newest<EntryOf<"review-settled">>>();
  readonly sheetEdit = new Newest<EntryOf<"sheet-edited">>();
  readonly released = new Newest<EntryOf<"sheet-released">>();
}

/** As entered last, under the name said last: an entry without one half of the name takes neither away. */
function asNamed({ value, states }: History<Entrant>): Entrant | undefined {
  if (!value || (value.details && value.given)) return value;
  const last = (half: "details" | "given") => states.find((said) => said.value[half])?.value[half];
  return { ...value, details: last("details"), given: last("given") };
}

const recusalKey = (judge: PersonId, section: SectionId | null): string =>
  section === null ? judge : `${judge}/${section}`;
const lockKey = (judge: PersonId, section: SectionId): string => `${judge}/${section}`;

/**
 * The scorebook of one grading, folded: what stands, computed from the entries and from nothing else.
 *
 * Entries may come in any order, any number of times, in any split: the state is the same (promise [S1]).
 * `add` costs the same however long the book is. Entries of unknown kinds are counted and otherwise ignored.
 * Refusing entries is not its business: see permit.ts.
 */
export class Scorebook {
  readonly #entries = new Map<EntryId, AnyEntry>();
  readonly #pages = new Map<CandidateId, CandidatePages>();
  readonly #opened = new Newest<EntryBody<"opened">>();
  /** The oldest: whoever writes the title anew does not change the rules. */
  #openedFirst: EntryOf<"opened"> | undefined;
  readonly #rubrics = new Map<RubricId, History<Rubric>>();
  #library: EntryOf<"faults-frozen"> | undefined;
  readonly #seats = new Map<PersonId, Newest<Seat>>();
  readonly #assignments = new Map<string, History<EntryOf<"assigned">>>();
  readonly #waves = new Map<number, Newest<readonly CandidateId[]>>();
  readonly #calls: EntryOf<"called">[] = [];
  readonly #started = new Newest<true>();
  readonly #closed = new Newest<EntryOf<"closed">>();
  readonly #pause = new Newest<boolean>();
  readonly #stop = new Newest<{ stopped: boolean; by: PersonId; at: number }>();
  readonly #replacedJudges = new Set<PersonId>();
  readonly #asks: EntryOf<"remark-asked">[] = [];
  /** How each request was answered, by the request; the first answer stands. */
  readonly #answered = new Map<EntryId, EntryOf<"answered">>();
  readonly #replacements: EntryOf<"judge-replaced">[] = [];
  readonly #incidents: EntryOf<"incident">[] = [];
  readonly #letIns: EntryOf<"let-in">[] = [];
  readonly #swaps: EntryOf<"lanes-swapped">[] = [];
  readonly #anchors = new Map<AnchorId, History<EntryBody<"anchor-set">>>();
  readonly #agreed = new Map<AnchorId, Newest<EntryOf<"anchor-agreed">>>();
  readonly #anchorMarks = new Map<string, Newest<EntryOf<"anchor-marked">>>();
  readonly #kept = new Map<string, Newest<EntryBody<"severity-kept">>>();
  readonly #used = new Newest<EntryBody<"severities-used">>();
  readonly #told = new Map<PersonId, Newest<EntryOf<"judge-told">>>();
  readonly #erased = new Set<string>();
  #standardVersion = 0;
  readonly #basis = new Map<string, number>();
  readonly #awaited = new Map<string, { after: number; upTo: number }[]>();
  /** Of every count who wrote in it. */
  readonly #writers = new Set<string>();
  readonly #awaitedByChief = new Map<string, { after: number; upTo: number }[]>();
  readonly #undone = new Set<EntryId>();
  #lamport = 0;
  #version = 0;
  #planVersion = 0;
  #presenceVersion = 0;
  #watch: { plan: number; judges: Map<string, readonly PersonId[]> } = {
    plan: 0,
    judges: new Map(),
  };

  /** @returns false when this entry was here already. */
  add(entry: AnyEntry): boolean {
    if (this.#entries.has(entry.id)) return false;
    this.#entries.set(entry.id, entry);
    this.#version++;
    this.#lamport = Math.max(this.#lamport, entry.lamport);
    if (isKnown(entry)) this.#noteAwaited(entry);
    this.#writers.add(`${entry.device}/${entry.by}`);
    if (tellsOfCount(entry))
      this.#basis.set(entry.device, Math.max(this.#basis.get(entry.device) ?? 0, entry.n));
    if (isKnown(entry)) this.#take(asRead(entry));
    return true;
  }

  #noteAwaited(entry: Entry): void {
    const isOfHub = entry.kind === "held";
    const isOfChief = entry.kind === "verdict" || entry.kind === "review-settled";
    if (!isOfHub && !isOfChief) return;
    for (const [device, upTo] of Object.entries(entry.body.basis ?? {})) {
      const after = this.#basis.get(device) ?? 0;
      const list = isOfHub ? this.#awaited : this.#awaitedByChief;
      if (upTo > after) listOf(list, device).push({ after, upTo });
    }
  }
  /**
   * Whether a hub that lost it had held what comes at this place of a device's count: it speaks of it, and the device had not come so far when that was
   * read. Goes by the order of reading, unlike everything else here; asked when an entry comes in, never by what stands.
   */
  isAwaited({ device, n }: AnyEntry): boolean {
    return this.#awaited.get(device)?.some(({ after, upTo }) => n > after && n <= upTo) ?? false;
  }

  /**
   * Whether this place was passed over when somebody decided, or said to have looked again: it was free in its count, and what was written further on was known.
   * Filled now it would change what was decided. What a chief speaks of and this hub never reached, it has lost: that comes again.
   */
  isPassedOver(entry: AnyEntry, candidate: CandidateId): boolean {
    const { device, n } = entry;
    // Nearly everything comes in its turn.
    if (n > (this.#basis.get(device) ?? 0)) return false;
    if (this.#awaitedByChief.get(device)?.some(({ after, upTo }) => n > after && n <= upTo))
      return false;
    const answers = [...this.#answered.values()].filter(({ body }) => body.candidate === candidate);
    const settled = [...(this.#pages.get(candidate)?.settled.values() ?? [])];
    return [this.verdict(candidate), ...answers, ...settled.map(({ value }) => value)].some(
      (said) => said?.body.basis && isIn(said.body.basis, entry),
    );
  }

  #page(candidate: CandidateId): CandidatePages {
    let pages = this.#pages.get(candidate);
    if (!pages) this.#pages.set(candidate, (pages = new CandidatePages()));
    pages.version++;
    return pages;
  }

  #take(entry: Entry): void {
    switch (entry.kind) {
      case "opened":
        this.#planVersion++;
        this.#opened.offer(harmlessAll(entry.body), entry);
        if (!this.#openedFirst || byAge(entry, this.#openedFirst) < 0) this.#openedFirst = entry;
        return;
      case "frozen":
      case "rubric-replaced":
        this.#planVersion++;
        historyOf(this.#rubrics, entry.body.rubric.id).offer(harmlessAll(entry.body.rubric), entry);
        return;
      case "faults-frozen":
        this.#planVersion++;
        // The first stands: what somebody was told once is not told otherwise.
        if (!this.#library || byAge(entry, this.#library) < 0)
          this.#library = { ...entry, body: harmlessAll(entry.body) };
        return;
      case "seated": {
        this.#planVersion++;
        const { person, roles, details } = entry.body;
        registerOf(this.#seats, person).offer({ person, roles, details }, entry);
        return;
      }
      case "assigned":
        this.#planVersion++;
        historyOf(this.#assignments, watchKey(entry)).offer(entry, entry);
        return;
      case "judge-replaced":
        this.#planVersion++;
        this.#replacedJudges.add(entry.body.judge);
        insertByAge(this.#replacements, entry);
        return;
      case "entered": {
        this.#planVersion++;
        const { candidate, number, rubric, details, given } = entry.body;
        this.#page(candidate).entered.offer({ candidate, number, rubric, details, given }, entry);
        return;
      }
      case "lined-up":
        this.#planVersion++;
        registerOf(this.#waves, entry.body.wave).offer(entry.body.lanes, entry);
        return;
      case "lanes-swapped":
        if (entry.body.undoes) this.#undone.add(entry.body.undoes);
        this.#planVersion++;
        insertByAge(this.#swaps, entry);
        return;
      case "started":
        this.#started.offer(true, entry);
        return;
      case "closed":
        // What was never opened is open from here on.
        this.#planVersion++;
        this.#closed.offer(entry, entry);
        return;
      case "checked-in":
      case "absent":
      case "unfit":
      case "expected":
        this.#presenceVersion++;
        this.#page(entry.body.candidate).presence.offer(entry, entry);
        return;
      case "excused":
        this.#planVersion++;
        registerOf(this.#page(entry.body.candidate).excused, entry.body.item).offer(
          entry.body,
          entry,
        );
        return;
      case "called":
        insertByAge(this.#calls, entry);
        return;
      case "paused":
      case "resumed":
        this.#pause.offer(entry.kind === "paused", entry);
        return;
      case "stopped":
      case "floor-cleared":
        this.#stop.offer({ stopped: entry.kind === "stopped", by: entry.by, at: entry.at }, entry);
        return;
      case "mark": {
        if (entry.body.undoes) this.#undone.add(entry.body.undoes);
        const { section, item, side } = entry.body;
        for (const { candidate, criterion, level, how } of entry.body.cells) {
          const pages = this.#page(candidate);
          const place = { section, item, side, criterion };
          const key = `${entry.by}/${placeKey(place)}`;
          let cell = pages.cells.get(key);
          if (!cell) {
            cell = new CellHistory(entry.by, place, lockKey(entry.by, section));
            pages.cells.set(key, cell);
          }
          cell.add({
            entry: entry.id,
            lamport: entry.lamport,
            device: entry.device,
            n: entry.n,
            level,
            how,
            replaces: entry.replaces ?? [],
            answers: entry.body.answers,
          });
        }
        return;
      }
      case "overall": {
        if (entry.body.undoes) this.#undone.add(entry.body.undoes);
        const { candidate, section, judgement, answers } = entry.body;
        const { overall } = this.#page(candidate);
        const key = lockKey(entry.by, section);
        let given = overall.get(key);
        if (!given) overall.set(key, (given = { judge: entry.by, section, writes: [] }));
        const { lamport, device, n } = entry;
        insertByAge(given.writes, { lamport, device, n, judgement, answers });
        return;
      }
      case "faults": {
        if (entry.body.undoes) this.#undone.add(entry.body.undoes);
        const { candidate, section, item, side, criterion, faults } = entry.body;
        const place = { section, item, side, criterion };
        const key = `${entry.by}/${placeKey(place)}`;
        const pages = this.#page(candidate);
        let kept = pages.faults.get(key);
        if (!kept) pages.faults.set(key, (kept = { place, judge: entry.by, seen: new History() }));
        kept.seen.offer(faults, entry);
        return;
      }
      case "note":
        insertByAge(this.#page(entry.body.candidate).notes, entry);
        return;
      case "related":
        registerOf(this.#page(entry.body.candidate).relations, entry.by).offer(
          entry.body.relation,
          entry,
        );
        return;
      case "recused": {
        const { candidate, section } = entry.body;
        const key = recusalKey(entry.by, section);
        const before = this.#pages.get(candidate)?.recused.get(key);
        if (before && byAge(before, entry) <= 0) return;
        this.#planVersion++;
        this.#page(candidate).recused.set(key, entry);
        return;
      }
      case "locked": {
        const { lamport, device, n } = entry;
        const { section, candidates, basis } = entry.body;
        for (const candidate of candidates) {
          const pages = this.#page(candidate);
          pages.sealVersion++;
          insertByAge(listOf(pages.locks, lockKey(entry.by, section)), {
            lamport,
            device,
            n,
            basis,
          });
        }
        return;
      }
      case "answered": {
        const { request, candidate } = entry.body;
        this.#page(candidate);
        const before = this.#answered.get(request);
        if (!before || byAge(entry, before) < 0) this.#answered.set(request, entry);
        return;
      }
      case "held": {
        const { lamport, device, n } = entry;
        const { of, judge, candidate, section, basis } = entry.body;
        const pages = this.#page(candidate);
        pages.sealVersion++;
        insertByAge(listOf(pages.held, lockKey(judge, section)), { lamport, device, n, basis, of });
        return;
      }
      case "incident":
        insertByAge(this.#incidents, entry);
        return;
      case "withdrawn":
        this.#presenceVersion++;
        this.#page(entry.body.candidate).withdrawn.offer(entry, entry);
        return;
      case "revealed":
        for (const candidate of entry.body.candidates) {
          const pages = this.#page(candidate);
          pages.sealVersion++;
          insertByAge(pages.openedByChief, entry);
        }
        return;
      case "remark-asked":
        insertByAge(this.#asks, entry);
        // Marks may have come before the question that they answer.
        this.#page(entry.body.candidate);
        return;
      case "review-settled":
        registerOf(this.#page(entry.body.candidate).settled, entry.body.question).offer(
          entry,
          entry,
        );
        return;
      case "verdict":
        this.#page(entry.body.candidate).verdict.offer(entry, entry);
        this.#page(entry.body.candidate).verdicts.push(entry);
        return;
      case "sheet-edited":
        this.#page(entry.body.candidate).sheetEdit.offer(entry, entry);
        return;
      case "sheet-released":
        this.#page(entry.body.candidate).released.offer(entry, entry);
        return;
      case "correction":
      case "held-sealed":
        return;
      case "let-in":
        this.#letIns.push(entry);
        return;
      case "anchor-set":
        this.#standardVersion++;
        historyOf(this.#anchors, entry.body.anchor).offer(entry.body, entry);
        return;
      case "anchor-agreed":
        this.#standardVersion++;
        registerOf(this.#agreed, entry.body.anchor).offer(entry, entry);
        return;
      case "anchor-marked":
        this.#standardVersion++;
        registerOf(this.#anchorMarks, `${entry.body.anchor}/${entry.by}`).offer(entry, entry);
        return;
      case "severity-kept":
        this.#standardVersion++;
        registerOf(this.#kept, `${entry.body.judge}/${entry.body.from}`).offer(entry.body, entry);
        return;
      case "severities-used":
        this.#standardVersion++;
        this.#used.offer(entry.body, entry);
        return;
      case "judge-told":
        registerOf(this.#told, entry.body.judge).offer(entry, entry);
        return;
      case "erased":
        this.#erased.add(entry.body.about);
        return;
      default:
        // A new kind says here what it does; `correction` says that it does nothing.
        entry satisfies never;
    }
  }

  // ── the book itself ──────────────────────────────────────────────────────────
  /** Grows with every new entry. */
  get version(): number {
    return this.#version;
  }
  /** Grows with every entry that changes who marks whom, where, on what. */
  get planVersion(): number {
    return this.#planVersion;
  }
  /** Grows with every entry that changes the script of a wave: the plan, and who is here. */
  get scriptVersion(): number {
    return this.#planVersion + this.#presenceVersion;
  }
  /** Grows with every entry about this candidate; 0 for a stranger. */
  candidateVersion(candidate: CandidateId): number {
    return this.#pages.get(candidate)?.version ?? 0;
  }
  get lamport(): number {
    return this.#lamport;
  }
  get size(): number {
    return this.#entries.size;
  }
  /** Highest `n` seen of each device, but for what comes out of turn (a stop and its like): whatever is below was there to be seen. */
  get basis(): Basis {
    return Object.fromEntries(this.#basis) as Basis;
  }
  hasWrittenIn(count: string, person: PersonId): boolean {
    return this.#writers.has(`${count}/${person}`);
  }
  entries(): IterableIterator<AnyEntry> {
    return this.#entries.values();
  }
  entry(id: EntryId): AnyEntry | undefined {
    return this.#entries.get(id);
  }
  isUndone(id: EntryId): boolean {
    return this.#undone.has(id);
  }

  // ── the plan ─────────────────────────────────────────────────────────────────
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
    const entrant = this.#pages.get(candidate)?.entered.at(at);
    return entrant && this.#rubrics.get(entrant.rubric)?.at(at);
  }
  get seats(): Seat[] {
    return [...this.#seats.values()].flatMap((register) => register.value ?? []);
  }
  seat(person: PersonId): Seat | undefined {
    return this.#seats.get(person)?.value;
  }
  /** Everybody entered, by number. */
  get entrants(): Entrant[] {
    return [...this.#pages.values()]
      .flatMap(({ entered }) => asNamed(entered) ?? [])
      .sort((a, b) => a.number - b.number);
  }
  entrant(candidate: CandidateId): Entrant | undefined {
    const entered = this.#pages.get(candidate)?.entered;
    return entered && asNamed(entered);
  }
  presence(candidate: CandidateId): Presence {
    const pages = this.#pages.get(candidate);
    if (pages?.withdrawn.value?.body.why) return "withdrawn";
    return pages?.presence.value?.kind ?? "expected";
  }
  /** What was said last of whether a candidate is here; a withdrawal is another thing. */
  presenceSaid(candidate: CandidateId): EntryOf<Exclude<Presence, "withdrawn">> | undefined {
    return this.#pages.get(candidate)?.presence.value;
  }
  withdrawal(candidate: CandidateId): NonNullable<EntryBody<"withdrawn">["why"]> | undefined {
    return this.#pages.get(candidate)?.withdrawn.value?.body.why ?? undefined;
  }
  /** The line that says it, where the candidate has withdrawn and not come back. */
  withdrawnBy(candidate: CandidateId): EntryOf<"withdrawn"> | undefined {
    const last = this.#pages.get(candidate)?.withdrawn.value;
    return last?.body.why ? last : undefined;
  }
  excuse(candidate: CandidateId, item: ItemId): EntryBody<"excused"> | undefined {
    return this.#pages.get(candidate)?.excused.get(item)?.value;
  }
  get waves(): { wave: number; lanes: readonly CandidateId[] }[] {
    return [...this.#waves.keys()]
      .sort((a, b) => a - b)
      .map((wave) => ({ wave, lanes: this.lanes(wave) }));
  }
  /** Who stands where now, swaps included; left to right from the judges' table. */
  lanes(wave: number): readonly CandidateId[] {
    const register = this.#waves.get(wave);
    if (!register?.value || !register.stamp) return [];
    const lanes = [...register.value];
    for (const swap of this.#swaps) {
      if (swap.body.wave !== wave || byAge(swap, register.stamp) < 0) continue;
      const [a, b] = swap.body.candidates.map((candidate) => lanes.indexOf(candidate)) as [
        number,
        number,
      ];
      if (a < 0 || b < 0) continue;
      [lanes[a], lanes[b]] = [lanes[b] as CandidateId, lanes[a] as CandidateId];
    }
    return lanes;
  }
  /** Logical time at which the chief wrote the lanes of a wave last; 0 for never. */
  linedUpAt(wave: number): number {
    return this.#waves.get(wave)?.stamp?.lamport ?? 0;
  }
  waveOf(candidate: CandidateId): number | undefined {
    return this.waves.find(({ lanes }) => lanes.includes(candidate))?.wave;
  }
  /** Who watches whom, as it stands: of a judge, a section and a wave the newest; those without a wave all. Oldest first. */
  get assignments(): EntryBody<"assigned">[] {
    return this.assignmentsAt(NOW);
  }
  /** Whom earlier lines gave to the same judge, section and wave, of which the newest stands alone. */
  assignedBefore(entry: EntryOf<"assigned">): CandidateId[] {
    const states = this.#assignments.get(watchKey(entry))?.states ?? [];
    return states.flatMap(({ value }) => (value.id === entry.id ? [] : value.body.candidates));
  }
  /** The same as it stood at a logical time. */
  assignmentsAt(lamport: number): EntryBody<"assigned">[] {
    return [...this.#assignments.values()]
      .flatMap((told) => told.at(lamport) ?? [])
      .sort(byAge)
      .map((entry) => entry.body);
  }

  // ── the call ─────────────────────────────────────────────────────────────────
  /** All calls, oldest first. */
  get calls(): readonly EntryOf<"called">[] {
    return this.#calls;
  }
  get currentCall(): EntryOf<"called"> | undefined {
    return this.#calls.at(-1);
  }
  get isPaused(): boolean {
    return this.#pause.value === true;
  }
  get stop(): { stopped: boolean; by: PersonId; at: number } | undefined {
    return this.#stop.value;
  }
  get incidents(): readonly EntryOf<"incident">[] {
    return this.#incidents;
  }
  /** Who came in as somebody that had a device here already, in no order: see let-ins.ts. */
  get letIns(): readonly EntryOf<"let-in">[] {
    return this.#letIns;
  }
  get asks(): readonly EntryOf<"remark-asked">[] {
    return this.#asks;
  }

  // ── the judges ───────────────────────────────────────────────────────────────
  /** Who took over from this judge; the judge itself when nobody did. Follows a chain of replacements, and whoever comes again. */
  successor(judge: PersonId, at = NOW): PersonId {
    return this.#successors(judge, at).at(-1) as PersonId;
  }
  /**
   * The judge, and everybody who took the place after, in turn; one who has it again stands there again. Whoever gave it away may still say to whom it
   * goes, unless it went back to somebody from before: the newest word on a place stands.
   */
  #successors(judge: PersonId, at: number): PersonId[] {
    const seat = [judge];
    if (!this.#replacedJudges.has(judge)) return seat;
    for (const { lamport, body } of this.#replacements) {
      if (lamport > at) break;
      const held = seat.lastIndexOf(body.judge);
      const holder = seat.at(-1) as PersonId;
      const wentBack = seat.slice(0, Math.max(held, 0)).includes(holder);
      if (held < 0 || body.by === body.judge || (holder !== body.judge && wentBack)) continue;
      seat.length = held + 1;
      seat.push(body.by);
    }
    return seat;
  }
  #followers(judge: PersonId): readonly PersonId[] {
    if (!this.#replacedJudges.has(judge)) return [];
    return this.#successors(judge, NOW).filter((one) => one !== judge);
  }
  /** Everybody who had this judge's place before. */
  predecessors(judge: PersonId): PersonId[] {
    return [...this.#replacedJudges].filter((one) => this.#followers(one).includes(judge));
  }
  /** Of these, whose words there are this judge's now: none where the judge had a place of their own, which asks for a word of its own. */
  predecessorsIn(judge: PersonId, candidate: CandidateId, section: SectionId): PersonId[] {
    return this.predecessors(judge).filter((one) =>
      this.followersIn(candidate, section, one).includes(judge),
    );
  }
  /** @param section  null: in all of them, by one word */
  isRecused(judge: PersonId, candidate: CandidateId, section: SectionId | null, at = NOW): boolean {
    const recused = this.#pages.get(candidate)?.recused;
    return [section, null].some((one) => {
      const its = recused?.get(recusalKey(judge, one));
      return its !== undefined && its.lamport <= at;
    });
  }
  relation(judge: PersonId, candidate: CandidateId): EntryBody<"related">["relation"] | undefined {
    return this.#pages.get(candidate)?.relations.get(judge)?.value;
  }
  /**
   * The judges who are to mark this candidate in this section, replacements and recusals applied.
   * @param at  logical time: who was to mark then
   */
  judgesOf(candidate: CandidateId, section: SectionId, at = NOW): readonly PersonId[] {
    if (at !== NOW) return this.#assignedTo(candidate, section, at);
    // Asked with every mark, and the plan changes a few times a day.
    if (this.#watch.plan !== this.#planVersion)
      this.#watch = { plan: this.#planVersion, judges: new Map() };
    const key = `${candidate}/${section}`;
    let judges = this.#watch.judges.get(key);
    if (!judges) this.#watch.judges.set(key, (judges = this.#assignedTo(candidate, section, NOW)));
    return judges;
  }
  #assignedTo(candidate: CandidateId, section: SectionId, at: number): PersonId[] {
    const judges = new Set<PersonId>();
    for (const told of this.#assignments.values()) {
      const body = told.at(at)?.body;
      if (body?.section !== section || !body.candidates.includes(candidate)) continue;
      const judge = this.successor(body.judge, at);
      if (!this.isRecused(judge, candidate, section, at)) judges.add(judge);
    }
    return [...judges].sort();
  }
  hasLocked(judge: PersonId, candidate: CandidateId, section: SectionId): boolean {
    return this.locks(judge, candidate, section).length > 0;
  }
  /** Whether anybody has locked there, or the chief opened it by hand: without it nothing is open there before the closing. */
  mayBeOpen(candidate: CandidateId, section: SectionId): boolean {
    const pages = this.#pages.get(candidate);
    if (!pages) return false;
    const isThere = [...pages.locks.keys()].some((key) => key.endsWith(`/${section}`));
    return isThere || pages.openedByChief.some(({ body }) => body.section === section);
  }
  lock(judge: PersonId, candidate: CandidateId, section: SectionId): Sealing | undefined {
    return this.locks(judge, candidate, section)[0];
  }
  /** Oldest first; more than one only where two tablets did not know each other. */
  locks(judge: PersonId, candidate: CandidateId, section: SectionId): readonly Sealing[] {
    return this.#pages.get(candidate)?.locks.get(lockKey(judge, section)) ?? [];
  }
  /** Marks are open: see `openedAt`. @param at  logical time: whether they were open then */
  isRevealed(candidate: CandidateId, section: SectionId, at = NOW): boolean {
    if (this.rules === 1) return this.#isRevealedByPlan(candidate, section, at);
    const opened = this.openedAt(candidate, section);
    return opened !== undefined && opened <= at;
  }
  /** By the first rules: by the plan of now, so that a judge who joined later closed again what was open. */
  #isRevealedByPlan(candidate: CandidateId, section: SectionId, at: number): boolean {
    const isByChief = this.#pages
      .get(candidate)
      ?.openedByChief.some(({ body }) => body.section === section);
    if (isByChief) return true;
    const judges = this.judgesOf(candidate, section, at);
    return judges.length > 0 && judges.every((judge) => this.hasLocked(judge, candidate, section));
  }
  /**
   * The first logical moment at which everybody then assigned, and not stepped back, had locked; or at which the chief opened the section,
   * or closed the test. What comes later never closes it again: whoever is assigned, replaced or steps back after it changes nothing.
   * Where a judge was replaced, a lock of either is enough. Undefined while it is closed.
   */
  openedAt(candidate: CandidateId, section: SectionId): number | undefined {
    return (
      this.#openedBeforeClosing(candidate, section) ??
      (this.#pages.has(candidate) ? this.closing?.lamport : undefined)
    );
  }
  /** The closing opens only what was not: a chief who had not heard of the last locks may have closed the test before them, in logical time. */
  #openedBeforeClosing(candidate: CandidateId, section: SectionId): number | undefined {
    const pages = this.#pages.get(candidate);
    if (!pages) return undefined;
    const of = this.#planVersion + pages.sealVersion;
    const known = pages.openedAt.get(section);
    if (known?.of === of) return known.at;
    const moments = [
      pages.openedByChief.find(({ body }) => body.section === section)?.lamport,
      this.#lockedByAllAt(pages, candidate, section),
    ].filter((moment) => moment !== undefined);
    const at = moments.length > 0 ? Math.min(...moments) : undefined;
    pages.openedAt.set(section, { of, at });
    return at;
  }
  #lockedByAllAt(
    pages: CandidatePages,
    candidate: CandidateId,
    section: SectionId,
  ): number | undefined {
    const lockedBy = (judge: PersonId): number =>
      pages.locks.get(lockKey(judge, section))?.[0]?.lamport ?? NOW;
    const plan = [...this.#assignments.values()].filter((told) =>
      told.states.some(
        ({ value: { body } }) => body.section === section && body.candidates.includes(candidate),
      ),
    );
    const isDoneAt = (at: number): boolean => {
      let isLocked = false;
      for (const told of plan) {
        const body = told.at(at)?.body;
        if (body?.section !== section || !body.candidates.includes(candidate)) continue;
        const seat = this.#successors(body.judge, at);
        if (seat.some((judge) => lockedBy(judge) <= at)) isLocked = true;
        else if (!this.isRecused(seat.at(-1) as PersonId, candidate, section, at)) return false;
      }
      return isLocked;
    };
    if (plan.length === 0) return undefined;
    const moments = new Set<number>([
      ...[...pages.locks].flatMap(([key, locks]) =>
        key.endsWith(`/${section}`) ? locks.map(({ lamport }) => lamport) : [],
      ),
      ...[...pages.recused.values()].flatMap(({ lamport, body }) =>
        (body.section ?? section) === section ? [lamport] : [],
      ),
      ...this.#replacements.map(({ lamport }) => lamport),
      ...plan.flatMap(({ states }) => states.map(({ stamp }) => stamp.lamport)),
    ]);
    return [...moments].sort((a, b) => a - b).find(isDoneAt);
  }
  /** The newest logical moment at which the chief said who marks this candidate there, or gave one of those places to another; 0 for never. */
  plannedAt(candidate: CandidateId, section: SectionId): number {
    const moments = [0];
    const seats = new Set<PersonId>();
    for (const told of this.#assignments.values())
      for (const { value, stamp } of told.states) {
        if (value.body.section !== section || !value.body.candidates.includes(candidate)) continue;
        moments.push(stamp.lamport);
        for (const judge of this.#successors(value.body.judge, NOW)) seats.add(judge);
      }
    for (const { lamport, body } of this.#replacements)
      if (seats.has(body.judge)) moments.push(lamport);
    return Math.max(...moments);
  }
  /** What is final of this judge's marks there; undefined while nothing is. */
  seal(judge: PersonId, candidate: CandidateId, section: SectionId): Seal | undefined {
    const pages = this.#pages.get(candidate);
    if (!pages) return undefined;
    const key = lockKey(judge, section);
    const locks = pages.locks.get(key) ?? [];
    // By the first rules the first lock stands, and the chief's opening is none.
    if (this.rules === 1) return locks[0] && [locks[0].basis];
    // Whoever locks when the marks are open already, having taken a place or joined, says nothing that counts by itself.
    const opened = this.#openedBeforeClosing(candidate, section) ?? NOW;
    const heldByHub = (pages.held.get(key) ?? []).flatMap((one): Held[] => {
      const entry = this.#entries.get(one.of);
      return entry ? [{ ...one, isGiven: isPlaceGiven(entry, judge) }] : [];
    });
    const said = heldByHub.length > 0 ? heldByHub : this.#heldByChief(pages, judge, section);
    const inTime = locks.filter((one) => one.lamport <= opened);
    const held = this.#bindingOf(said, inTime.length > 0, () =>
      this.#assignedTo(candidate, section, opened).includes(judge),
    );
    return sealOf(held.length > 0 ? locks : inTime, held);
  }
  /** What was held of a judge whose place was given to another binds nobody who has it again, where a lock in time, or what was held later, says more. */
  #bindingOf(said: Held[], hasLocked: boolean, isBack: () => boolean): Held[] {
    if (!said.some(({ isGiven }) => isGiven) || !isBack()) return said;
    const lasting = said.filter(({ isGiven }) => !isGiven);
    return lasting.length > 0 || hasLocked ? lasting : said;
  }
  /** Whether a lock of this judge's is what counts there: one that came when the marks were open already says nothing by itself. */
  hasLockThatCounts(judge: PersonId, candidate: CandidateId, section: SectionId): boolean {
    const seal = this.seal(judge, candidate, section);
    return this.locks(judge, candidate, section).some(({ basis }) => seal?.includes(basis));
  }
  /** Without a hub the chief's device says itself what it held. */
  #heldByChief(pages: CandidatePages, judge: PersonId, section: SectionId): Held[] {
    const opened = pages.openedByChief.filter(
      (entry) =>
        entry.body.section === section &&
        this.#isSpokenFor(entry, judge, pages.locks.get(lockKey(judge, section)) ?? []),
    );
    const given = this.#replacements.filter((entry) => isPlaceGiven(entry, judge));
    return [...opened, ...given].flatMap(({ kind, lamport, device, n, body: { basis } }) =>
      basis ? [{ lamport, device, n, basis, isGiven: kind === "judge-replaced" }] : [],
    );
  }
  /** Whether an opening without a hub was one without this judge. Earlier versions did not name whom: whoever wrote what it rests on, and had not locked. */
  #isSpokenFor(
    { lamport, body: { without, basis = {} } }: EntryOf<"revealed">,
    judge: PersonId,
    locks: readonly Sealing[],
  ): boolean {
    if (without) return without.includes(judge);
    const counts = Object.keys(basis);
    return counts.length > 0
      ? counts.some((count) => this.hasWrittenIn(count, judge))
      : locks.every((lock) => lock.lamport > lamport);
  }
  /** What this judge wrote in this cell and stands now; undefined for blank (never written, or cleared). */
  cell(judge: PersonId, candidate: CandidateId, place: Place): Write | undefined {
    const write = this.#cell(judge, candidate, place)?.standing;
    return write?.level === "cleared" ? undefined : write;
  }
  /** What this judge's lock found in this cell: of what the lock speaks of, what stood; undefined for blank. */
  cellIn(basis: Basis, judge: PersonId, candidate: CandidateId, place: Place): Write | undefined {
    const known = this.writes(judge, candidate, place).filter((write) => isIn(basis, write));
    const write = standing(known);
    return write?.level === "cleared" ? undefined : write;
  }
  writes(judge: PersonId, candidate: CandidateId, place: Place): readonly Write[] {
    return this.#cell(judge, candidate, place)?.writes ?? [];
  }
  #cell(judge: PersonId, candidate: CandidateId, place: Place): CellHistory | undefined {
    return this.#pages.get(candidate)?.cells.get(`${judge}/${placeKey(place)}`);
  }
  /** Cells where two tablets of one judge disagree; that judge settles them. */
  conflicts(candidate: CandidateId): { judge: PersonId; place: Place }[] {
    const cells = [...(this.#pages.get(candidate)?.cells.values() ?? [])];
    return cells
      .filter((cell) => isInConflict(cell.heads))
      .map(({ judge, place }) => ({ judge, place }));
  }
  /**
   * The marks of a candidate.
   * @param as `lock`: those that stood when their judge locked (for agreement, severity, certainty);
   *   `verdict`: with what answered a request, without late marks the chief has not let count; `now`: whatever stands, locked or not.
   */
  marks(candidate: CandidateId, as: "lock" | "verdict" | "now"): Mark[] {
    const pages = this.#pages.get(candidate);
    if (!pages) return [];
    const seals = new Map<string, Seal | undefined>();
    const found: Mark[] = [];
    for (const cell of pages.cells.values()) {
      const { judge, place, lock: key } = cell;
      if (!seals.has(key)) seals.set(key, this.seal(judge, candidate, place.section));
      const write = this.#counted(pages, candidate, cell, seals.get(key), as);
      if (!write || write.level === "cleared") continue;
      const { section, item, side, criterion } = place;
      const { level, how } = write;
      found.push({ section, item, side, criterion, judge, candidate, level, how });
    }
    const followersOf = this.rules === 1 ? undefined : this.#followersAt(candidate);
    if (!followersOf) return found;
    return withoutDoubles(
      found,
      followersOf,
      ({ judge, section }) => this.lock(judge, candidate, section)?.lamport,
    );
  }
  #followersAt(
    candidate: CandidateId,
  ): ((mark: { judge: PersonId; section: SectionId }) => readonly PersonId[]) | undefined {
    if (this.#replacedJudges.size === 0) return undefined;
    const known = new Map<string, readonly PersonId[]>();
    return ({ judge, section }) => {
      const key = lockKey(judge, section);
      let followers = known.get(key);
      if (!followers) known.set(key, (followers = this.followersIn(candidate, section, judge)));
      return followers;
    };
  }
  /**
   * Who speaks in this judge's place in a section: whoever took it before the marks were open, and had none there of their own.
   * Whoever has two places says one word, and what was said in the other before stands beside it.
   */
  followersIn(candidate: CandidateId, section: SectionId, judge: PersonId): PersonId[] {
    const at = this.openedAt(candidate, section) ?? NOW;
    const chains: PersonId[][] = [];
    for (const told of this.#assignments.values()) {
      const body = told.at(at)?.body;
      if (body?.section !== section || !body.candidates.includes(candidate)) continue;
      const chain = this.#successors(body.judge, at);
      // Whoever has a place speaks for it, also one that was given away and came back.
      if (chain.at(-1) === judge) return [];
      chains.push(chain);
    }
    const home = this.#homeOf(judge, chains) ?? this.#successors(judge, at);
    const after = home.slice(home.indexOf(judge) + 1).filter((one) => one !== judge);
    return [...new Set(after)].filter((one) => (this.#homeOf(one, chains) ?? home) === home);
  }
  /** Of several places one person's word belongs to their own, else to the one that they took first; undefined for somebody who never had one of these. */
  #homeOf(judge: PersonId, chains: readonly PersonId[][]): PersonId[] | undefined {
    const takenAt = (chain: PersonId[]): number => {
      const before = chain[chain.indexOf(judge) - 1];
      const isIt = ({ body }: EntryOf<"judge-replaced">) =>
        body.judge === before && body.by === judge;
      return this.#replacements.find(isIt)?.lamport ?? NOW;
    };
    return (
      chains.find(([first]) => first === judge) ??
      chains
        .filter((chain) => chain.includes(judge))
        .sort((one, other) => takenAt(one) - takenAt(other))[0]
    );
  }
  /** What counts of one cell. */
  #counted(
    pages: CandidatePages,
    candidate: CandidateId,
    cell: CellHistory,
    seal: Seal | undefined,
    as: "lock" | "verdict" | "now",
  ): Write | undefined {
    const { writes, place } = cell;
    if (as === "now") return cell.standing;
    if (!seal) {
      const isLate = this.rules > 1 && this.isRevealed(candidate, place.section);
      if (!isLate) return cell.standing;
      const letIn = as === "verdict" ? this.#lateLetIn(pages, cell) : undefined;
      return letIn && standing(writes.filter(letIn));
    }
    const [only] = writes;
    // The usual cell: written once, before the lock.
    if (only && writes.length === 1 && seal.every((basis) => isIn(basis, only))) return only;
    const final = sealed(seal, writes);
    if (as === "lock") return standing(final);
    const letIn = this.#lateLetIn(pages, cell);
    if (letIn && this.rules === 1) return cell.standing;
    const more = writes.filter(
      (write) => letIn?.(write) || this.#isReMark(pages, candidate, cell, write),
    );
    return standing([...final, ...more.filter((write) => !final.includes(write))]);
  }
  /** Whether a mark outside the lock counts by itself. */
  #isReMark(
    pages: CandidatePages,
    candidate: CandidateId,
    { judge, place, lock: key }: CellHistory,
    write: Write,
  ): boolean {
    // By the first rules whatever was written after the lock did.
    if (this.rules === 1) return write.lamport > (pages.locks.get(key)?.[0]?.lamport ?? NOW);
    return this.#answersFor(pages, judge, candidate, place, write);
  }
  /**
   * Whether a write answers a request: one of the book, to this judge, that names this cell; written before the judge said to have looked again,
   * and not outside what a verdict was issued by.
   */
  #answersFor(
    pages: CandidatePages,
    judge: PersonId,
    candidate: CandidateId,
    place: Place,
    write: Stamp & { answers?: EntryId | undefined },
  ): boolean {
    const request = write.answers && this.#entries.get(write.answers);
    if (!request || !isKnown(request) || request.kind !== "remark-asked") return false;
    if (!this.isNamed(request, judge, candidate, place)) return false;
    const { verdict } = pages;
    if (verdict.value && !isIn(verdict.value.body.basis, write)) return false;
    const answer = this.#answered.get(request.id);
    return !answer || answer.by !== judge || isIn(answer.body.basis, write);
  }
  /** Whether a request asks this judge about this cell. A checklist is one board, so a request about any of its items names all. */
  isNamed(
    { body }: EntryOf<"remark-asked">,
    judge: PersonId,
    candidate: CandidateId,
    { section, item, side, criterion }: Place,
  ): boolean {
    if (body.candidate !== candidate || body.section !== section) return false;
    if (this.successor(body.judge) !== judge && body.judge !== judge) return false;
    const rubric = this.rubricOf(candidate);
    if (rubric && sectionOf(rubric, section)?.marking === "checklist") return true;
    if (body.item !== item || body.side !== side) return false;
    return body.criterion === null || body.criterion === criterion;
  }
  /** Requests to this judge that are not answered yet, and can be: none of a closed test, or from before a verdict. */
  openRequests(judge: PersonId): EntryOf<"remark-asked">[] {
    if (this.isClosed) return [];
    return this.#asks.filter((ask) => {
      const verdict = this.verdict(ask.body.candidate);
      return (
        (ask.body.judge === judge || this.successor(ask.body.judge) === judge) &&
        !this.#answered.has(ask.id) &&
        (!verdict || verdict.lamport < ask.lamport)
      );
    });
  }
  answer(request: EntryId): EntryOf<"answered"> | undefined {
    return this.#answered.get(request);
  }
  /** Cells in which something stands that counts only when the chief says so: it is outside the judge's lock, and answers no request. */
  lateMarks(candidate: CandidateId): { judge: PersonId; place: Place }[] {
    const pages = this.#pages.get(candidate);
    if (!pages) return [];
    return [...pages.cells.values()]
      .filter((cell) =>
        this.rules === 1
          ? isLateByClock(cell, pages.locks.get(cell.lock)?.[0])
          : this.#isLate(pages, candidate, cell),
      )
      .map(({ judge, place }) => ({ judge, place }));
  }
  #isLate(pages: CandidatePages, candidate: CandidateId, cell: CellHistory): boolean {
    const { judge, place, writes } = cell;
    const seal = this.seal(judge, candidate, place.section);
    if (!seal) return this.isRevealed(candidate, place.section);
    const final = sealed(seal, writes);
    const late = writes.filter(
      (write) => !final.includes(write) && !this.#isReMark(pages, candidate, cell, write),
    );
    if (late.every((write) => seal.every((basis) => isIn(basis, write)))) return false;
    // What says the same as what counts asks nothing of anybody.
    const readings = this.#lateLetIn(pages, cell)
      ? (["lock", "verdict"] as const)
      : (["lock"] as const);
    return (
      seal.length > 1 ||
      readings.some(
        (as) => cell.standing?.level !== this.#counted(pages, candidate, cell, seal, as)?.level,
      )
    );
  }
  /** Which late writes of a cell the chief lets count: those that lay before the chief, and none that came after. Undefined for none. */
  #lateLetIn(
    pages: CandidatePages,
    { judge, place }: CellHistory,
  ): ((write: Write) => boolean) | undefined {
    const settled = pages.settled.get(lateQuestion(judge, place.section))?.value;
    if (settled?.body.decision !== "late-counts") return undefined;
    return (write) => this.#wasBefore(settled, write);
  }
  /** Whether whoever settled a question had this write before them. A settlement of before has no basis: it spoke of whatever would come, and does for ever. */
  #wasBefore({ body: { basis } }: EntryOf<"review-settled">, write: Stamp): boolean {
    return !basis || isIn(basis, write);
  }
  /** Whether a judge wrote more there, late, since the chief settled what to do with that judge's late marks: then it is asked anew. */
  #isAskedAnew(pages: CandidatePages, settled: EntryOf<"review-settled">): boolean {
    const { question, candidate } = settled.body;
    if (this.rules === 1 || !question.startsWith(LATE)) return false;
    return [...pages.cells.values()].some((cell) => {
      const { judge, place, writes } = cell;
      if (lateQuestion(judge, place.section) !== question) return false;
      const seal = this.seal(judge, candidate, place.section);
      const final = seal ? sealed(seal, writes) : [];
      const more = writes.filter(
        (write) =>
          !this.#wasBefore(settled, write) &&
          !final.includes(write) &&
          !this.#isReMark(pages, candidate, cell, write),
      );
      const counts = this.#counted(pages, candidate, cell, seal, "verdict")?.level;
      return more.length > 0 && cell.standing?.level !== counts;
    });
  }
  /** What this judge said of the section as a whole, as it stands on this judge's board; null for nothing. */
  overall(judge: PersonId, candidate: CandidateId, section: SectionId): number | null {
    const given = this.#pages.get(candidate)?.overall.get(lockKey(judge, section));
    return given?.writes.at(-1)?.judgement ?? null;
  }
  /** Every overall judgement of this candidate that counts. */
  overalls(candidate: CandidateId): { judge: PersonId; section: SectionId; judgement: number }[] {
    const pages = this.#pages.get(candidate);
    return [...(pages?.overall.values() ?? [])].flatMap(({ judge, section, writes }) => {
      const judgement = this.#countedOverall(pages as CandidatePages, candidate, {
        judge,
        section,
        writes,
      });
      return judgement === null || judgement === undefined ? [] : [{ judge, section, judgement }];
    });
  }
  /** What was said of this candidate as a whole and counts for nothing: by whoever never locked, of a child who left. */
  overallsKept(
    candidate: CandidateId,
  ): { judge: PersonId; section: SectionId; judgement: number }[] {
    const counted = new Set(this.overalls(candidate).map((one) => lockKey(one.judge, one.section)));
    return [...(this.#pages.get(candidate)?.overall ?? [])].flatMap(
      ([key, { judge, section, writes }]) => {
        const judgement = writes.at(-1)?.judgement ?? null;
        return judgement === null || counted.has(key) ? [] : [{ judge, section, judgement }];
      },
    );
  }
  #countedOverall(
    pages: CandidatePages,
    candidate: CandidateId,
    {
      judge,
      section,
      writes,
    }: { judge: PersonId; section: SectionId; writes: readonly OverallWrite[] },
  ): number | null | undefined {
    if (this.rules === 1) return writes.at(-1)?.judgement;
    const seal = this.seal(judge, candidate, section);
    if (!seal) return this.isRevealed(candidate, section) ? undefined : writes.at(-1)?.judgement;
    const place = { section, item: null, side: null, criterion: "" as CriterionId };
    return writes.findLast(
      (write) =>
        seal.every((basis) => isIn(basis, write)) ||
        this.#answersFor(pages, judge, candidate, place, write),
    )?.judgement;
  }
  /** What this judge saw go wrong there: once the judge has locked only what the lock speaks of. */
  faults(judge: PersonId, candidate: CandidateId, place: Place): readonly FaultId[] {
    const seen = this.#pages.get(candidate)?.faults.get(`${judge}/${placeKey(place)}`)?.seen;
    return seen ? this.#faultsStanding(judge, candidate, place.section, seen) : [];
  }
  faultsOf(candidate: CandidateId): FaultsSeen[] {
    const kept = [...(this.#pages.get(candidate)?.faults.values() ?? [])];
    return kept.flatMap(({ place, judge, seen }) => {
      const faults = this.#faultsStanding(judge, candidate, place.section, seen);
      return faults.length > 0 ? [{ ...place, judge, candidate, faults }] : [];
    });
  }
  #faultsStanding(
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
    seen: History<readonly FaultId[]>,
  ): readonly FaultId[] {
    if (this.rules === 1) return seen.value ?? [];
    const seal = this.seal(judge, candidate, section);
    if (!seal) return this.isRevealed(candidate, section) ? [] : (seen.value ?? []);
    return seen.states.find(({ stamp }) => seal.every((basis) => isIn(basis, stamp)))?.value ?? [];
  }
  notes(candidate: CandidateId): readonly EntryOf<"note">[] {
    return this.#pages.get(candidate)?.notes ?? [];
  }

  // ── watching the panel ───────────────────────────────────────────────────────
  /** Grows with every entry that says something of judges beside today's marks. */
  get standardVersion(): number {
    return this.#standardVersion;
  }
  anchor(anchor: AnchorId, at = NOW): EntryBody<"anchor-set"> | undefined {
    return this.#anchors.get(anchor)?.at(at);
  }
  /** Anchor performances that were not taken back, by id, which is by age. */
  get anchors(): EntryBody<"anchor-set">[] {
    return [...this.#anchors.values()]
      .flatMap(({ value }) => (value?.isOpen ? [value] : []))
      .sort((a, b) => (a.anchor < b.anchor ? -1 : 1));
  }
  /** The marks that were agreed for it, and who wrote them down. */
  agreed(anchor: AnchorId): EntryOf<"anchor-agreed"> | undefined {
    return this.#agreed.get(anchor)?.value;
  }
  anchorMarks(anchor: AnchorId, judge: PersonId): EntryBody<"anchor-marked">["marks"] {
    return this.#anchorMarks.get(`${anchor}/${judge}`)?.value?.body.marks ?? [];
  }
  /** What earlier tests left of the judges. */
  get keptSeverities(): EntryBody<"severity-kept">[] {
    return [...this.#kept.values()].flatMap(({ value }) => (value?.kept ? [value] : []));
  }
  /** Whether anchors and history are reckoned with. Anchors only when the chief says so: agreed with a closer eye than judges mark with, they mislead (docs/fairness.md). */
  get severitiesUsed(): { anchors: boolean; history: boolean } {
    return this.#used.value ?? { anchors: false, history: true };
  }
  /** A judge's own page, as the chief gave it last. */
  /** Whether names and texts about this candidate or person are to be forgotten: none is kept, none is taken. There is no way back. */
  isErased(about: CandidateId | PersonId): boolean {
    return this.#erased.has(about);
  }
  /** Everybody of whom names and texts are to be forgotten. */
  get erased(): ReadonlySet<string> {
    return this.#erased;
  }
  told(judge: PersonId): EntryOf<"judge-told"> | undefined {
    return this.#told.get(judge)?.value;
  }
  /**
   * Every sheet there is to release is released, and there is one at least: one for everybody here;
   * in a closed test, where no verdict is waited for any more, one for every verdict.
   */
  get isReleased(): boolean {
    const owed = this.entrants.filter(({ candidate }) =>
      this.isClosed ? this.verdict(candidate) !== undefined : !isAway(this.presence(candidate)),
    );
    return owed.length > 0 && owed.every(({ candidate }) => this.release(candidate) !== undefined);
  }

  // ── the decision ─────────────────────────────────────────────────────────────
  settled(candidate: CandidateId, question: string): EntryOf<"review-settled"> | undefined {
    const pages = this.#pages.get(candidate);
    const settled = pages?.settled.get(question)?.value;
    return pages && settled && !this.#isAskedAnew(pages, settled) ? settled : undefined;
  }
  /** Everything settled of this candidate, each question as it was settled last. */
  settlements(candidate: CandidateId): EntryOf<"review-settled">[] {
    const pages = this.#pages.get(candidate);
    if (!pages) return [];
    return [...pages.settled.values()].flatMap(({ value }) =>
      value && !this.#isAskedAnew(pages, value) ? value : [],
    );
  }
  verdict(candidate: CandidateId): EntryOf<"verdict"> | undefined {
    return this.#pages.get(candidate)?.verdict.value;
  }
  /**
   * Verdicts that no other takes the place of: more than one where two tablets did not know of each other. Oldest first.
   * One that does not say what it knew takes the place of older ones that do not either.
   */
  standingVerdicts(candidate: CandidateId): EntryOf<"verdict">[] {
    const all = this.#pages.get(candidate)?.verdicts ?? [];
    const known: Record<string, number> = {};
    let lastSilent: EntryOf<"verdict"> | undefined;
    for (const one of all) {
      const { after } = one.body;
      if (!after && (!lastSilent || byAge(one, lastSilent) > 0)) lastSilent = one;
      for (const [device, n] of Object.entries(after ?? {}))
        known[device] = Math.max(known[device] ?? 0, n);
    }
    return all
      .filter((one) => !isIn(known as Basis, one) && (one.body.after || one === lastSilent))
      .sort(byAge);
  }
  /** What this book knows of a child's verdicts, as the next one says it. */
  verdictsSoFar(candidate: CandidateId): Basis {
    const known: Record<string, number> = {};
    for (const { device, n } of this.#pages.get(candidate)?.verdicts ?? [])
      known[device] = Math.max(known[device] ?? 0, n);
    return known as Basis;
  }
  sheetEdit(candidate: CandidateId): EntryOf<"sheet-edited"> | undefined {
    return this.#pages.get(candidate)?.sheetEdit.value;
  }
  /** That the sheet was released with the verdict that stands. Undefined where it was not, or another verdict was given since. */
  release(candidate: CandidateId): EntryOf<"sheet-released"> | undefined {
    const released = this.lastRelease(candidate);
    const verdict = this.verdict(candidate);
    if (!released) return undefined;
    const { of } = released.body;
    if (of !== undefined) return of === (verdict?.id ?? null) ? released : undefined;
    if (!verdict) return released;
    // Books of before stay as they were.
    const isOfIt = verdict.body.after === undefined || byAge(released, verdict) > 0;
    return isOfIt ? released : undefined;
  }
  /** The same of whichever verdict stood then. */
  lastRelease(candidate: CandidateId): EntryOf<"sheet-released"> | undefined {
    return this.#pages.get(candidate)?.released.value;
  }
}

/**
 * Whether the place of this judge was given to another by this line. What was held of them then is final, unless they have the place again when the
 * marks are opened: whoever is asked for a lock is bound by that lock alone.
 */
const isPlaceGiven = (entry: AnyEntry, judge: PersonId): boolean =>
  isKnown(entry) && entry.kind === "judge-replaced" && entry.body.judge === judge;

/** What a later `assigned` entry takes the place of: the same judge's watch of the same section and wave; without a wave, nothing. */
const watchKey = ({ id, body: { judge, section, wave } }: EntryOf<"assigned">): string =>
  wave === undefined ? id : `${judge}/${section}/${wave}`;

/** What was held of a judge, and whether it was at the moment at which their place was given to another. */
type Held = Sealing & { isGiven: boolean };

const LATE = "late/";
/** The key of the question whether a judge's late marks of a section count. */
export const lateQuestion = (judge: PersonId, section: SectionId): string =>
  `${LATE}${judge}/${section}`;

/** Folds a list of entries; the order does not matter. */
export function fold(entries: Iterable<AnyEntry>): Scorebook {
  const book = new Scorebook();
  for (const entry of entries) book.add(entry);
  return book;
}

/** By the first rules: written before the lock, in logical time, and not spoken of by it. */
function isLateByClock({ writes }: CellHistory, lock: Sealing | undefined): boolean {
  return (
    lock !== undefined &&
    writes.some((write) => !isIn(lock.basis, write) && write.lamport <= lock.lamport)
  );
}

/**
 * Where a judge was replaced one word counts in each cell: the lock of whoever had the place before stands, for what stood at a lock stays, and of two
 * locks the first; else what the successor said stands in the place of what the predecessor said.
 */
function withoutDoubles(
  marks: Mark[],
  followersOf: (mark: Mark) => readonly PersonId[],
  lockedAt: (mark: Mark) => number | undefined,
): Mark[] {
  const leftOut = new Set<Mark>();
  let said: Map<string, Mark> | undefined;
  for (const mark of marks) {
    const followers = followersOf(mark);
    if (followers.length === 0) continue;
    said ??= new Map(marks.map((one) => [`${one.judge}/${placeKey(one)}`, one]));
    const doubles = followers.flatMap((judge) => said?.get(`${judge}/${placeKey(mark)}`) ?? []);
    const locked = lockedAt(mark);
    // Whoever has the place again may have locked before it was given away.
    const isFirst = (one: Mark) => (lockedAt(one) ?? NOW) >= (locked ?? NOW);
    const stands = locked !== undefined && doubles.every(isFirst);
    if (stands) for (const double of doubles) leftOut.add(double);
    else if (doubles.some(({ level }) => level !== "not-seen")) leftOut.add(mark);
  }
  return leftOut.size > 0 ? marks.filter((mark) => !leftOut.has(mark)) : marks;
}

function listOf<K, T>(map: Map<K, T[]>, key: K): T[] {
  let list = map.get(key);
  if (!list) map.set(key, (list = []));
  return list;
}

function historyOf<K, T>(map: Map<K, History<T>>, key: K): History<T> {
  let history = map.get(key);
  if (!history) map.set(key, (history = new History<T>()));
  return history;
}

function registerOf<K, T>(map: Map<K, Newest<T>>, key: K): Newest<T> {
  let register = map.get(key);
  if (!register) map.set(key, (register = new Newest<T>()));
  return register;
}

/** Keeps `list` oldest first. Entries nearly always come in order, so the search starts at the end. */
function insertByAge<T extends Stamp>(list: T[], entry: T): void {
  let place = list.length;
  while (place > 0 && byAge(list[place - 1] as T, entry) > 0) place--;
  list.splice(place, 0, entry);
}
