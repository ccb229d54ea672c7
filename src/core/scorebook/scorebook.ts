import type {
  AnchorId,
  CandidateId,
  EntryId,
  FaultId,
  ItemId,
  PersonId,
  RubricId,
  SectionId,
} from "../identity.ts";
import type { FaultLibrary } from "../rubric/fault-library.ts";
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
  type Basis,
  type Entry,
  type EntryBody,
  type EntryOf,
  isKnown,
  type Role,
  type TextRef,
} from "./entry.ts";
import { byAge, History, Newest, NOW, type Stamp } from "./order.ts";
import { isAway, type Presence } from "./presence.ts";
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
export interface FaultsSeen extends Place {
  judge: PersonId;
  candidate: CandidateId;
  faults: readonly FaultId[];
}
interface Lock extends Stamp {
  basis: Basis;
}

/** What was written of one candidate. `version` grows with every entry that touches the candidate. */
class CandidatePages {
  version = 0;
  readonly entered = new History<Entrant>();
  readonly presence = new Newest<Presence>();
  readonly withdrawn = new Newest<EntryBody<"withdrawn">["why"]>();
  readonly cells = new Map<string, CellHistory>();
  readonly overall = new Map<string, Newest<number | null>>();
  readonly faults = new Map<
    string,
    { place: Place; judge: PersonId; seen: Newest<readonly FaultId[]> }
  >();
  readonly notes: EntryOf<"note">[] = [];
  readonly excused = new Map<ItemId, Newest<EntryBody<"excused">["why"]>>();
  readonly relations = new Map<PersonId, Newest<EntryBody<"related">["relation"]>>();
  readonly recused: EntryOf<"recused">[] = [];
  readonly locks = new Map<string, Lock>();
  readonly openedByChief = new Set<SectionId>();
  readonly verdict = new Newest<EntryOf<"verdict">>();
  readonly settled = new Map<string, Newest<EntryOf<"review-settled">>>();
  readonly sheetEdit = new Newest<EntryOf<"sheet-edited">>();
  readonly released = new Newest<EntryOf<"sheet-released">>();
}

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
  readonly #replacedJudges = new Map<PersonId, History<PersonId>>();
  readonly #asks: EntryOf<"remark-asked">[] = [];
  readonly #incidents: EntryOf<"incident">[] = [];
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
    this.#basis.set(entry.device, Math.max(this.#basis.get(entry.device) ?? 0, entry.n));
    if (isKnown(entry)) this.#take(entry);
    return true;
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
        this.#opened.offer(entry.body, entry);
        if (!this.#openedFirst || byAge(entry, this.#openedFirst) < 0) this.#openedFirst = entry;
        return;
      case "frozen":
      case "rubric-replaced":
        this.#planVersion++;
        historyOf(this.#rubrics, entry.body.rubric.id).offer(entry.body.rubric, entry);
        return;
      case "faults-frozen":
        this.#planVersion++;
        // The first stands: what somebody was told once is not told otherwise.
        if (!this.#library || byAge(entry, this.#library) < 0) this.#library = entry;
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
        historyOf(this.#replacedJudges, entry.body.judge).offer(entry.body.by, entry);
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
        this.#planVersion++;
        insertByAge(this.#swaps, entry);
        return;
      case "started":
        this.#started.offer(true, entry);
        return;
      case "closed":
        this.#closed.offer(entry, entry);
        return;
      case "checked-in":
      case "absent":
      case "unfit":
      case "expected":
        this.#presenceVersion++;
        this.#page(entry.body.candidate).presence.offer(entry.kind, entry);
        return;
      case "excused":
        this.#planVersion++;
        registerOf(this.#page(entry.body.candidate).excused, entry.body.item).offer(
          entry.body.why,
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
          });
        }
        return;
      }
      case "overall": {
        if (entry.body.undoes) this.#undone.add(entry.body.undoes);
        const pages = this.#page(entry.body.candidate);
        registerOf(pages.overall, lockKey(entry.by, entry.body.section)).offer(
          entry.body.judgement,
          entry,
        );
        return;
      }
      case "faults": {
        if (entry.body.undoes) this.#undone.add(entry.body.undoes);
        const { candidate, section, item, side, criterion, faults } = entry.body;
        const place = { section, item, side, criterion };
        const key = `${entry.by}/${placeKey(place)}`;
        const pages = this.#page(candidate);
        let kept = pages.faults.get(key);
        if (!kept) pages.faults.set(key, (kept = { place, judge: entry.by, seen: new Newest() }));
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
      case "recused":
        this.#planVersion++;
        insertByAge(this.#page(entry.body.candidate).recused, entry);
        return;
      case "locked": {
        const lock: Lock = {
          lamport: entry.lamport,
          device: entry.device,
          n: entry.n,
          basis: entry.body.basis,
        };
        for (const candidate of entry.body.candidates) {
          const pages = this.#page(candidate);
          const key = lockKey(entry.by, entry.body.section);
          const before = pages.locks.get(key);
          // The first lock is the one that marks were hidden until; it alone feeds agreement and severity.
          if (!before || byAge(lock, before) < 0) pages.locks.set(key, lock);
        }
        return;
      }
      case "incident":
        insertByAge(this.#incidents, entry);
        return;
      case "withdrawn":
        this.#presenceVersion++;
        this.#page(entry.body.candidate).withdrawn.offer(entry.body.why, entry);
        return;
      case "revealed":
        for (const candidate of entry.body.candidates)
          this.#page(candidate).openedByChief.add(entry.body.section);
        return;
      case "remark-asked":
        insertByAge(this.#asks, entry);
        return;
      case "review-settled":
        registerOf(this.#page(entry.body.candidate).settled, entry.body.question).offer(
          entry,
          entry,
        );
        return;
      case "verdict":
        this.#page(entry.body.candidate).verdict.offer(entry, entry);
        return;
      case "sheet-edited":
        this.#page(entry.body.candidate).sheetEdit.offer(entry, entry);
        return;
      case "sheet-released":
        this.#page(entry.body.candidate).released.offer(entry, entry);
        return;
      case "correction":
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
  /** Highest `n` seen of each device. */
  get basis(): Basis {
    return Object.fromEntries(this.#basis) as Basis;
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
      .flatMap((pages) => pages.entered.value ?? [])
      .sort((a, b) => a.number - b.number);
  }
  entrant(candidate: CandidateId): Entrant | undefined {
    return this.#pages.get(candidate)?.entered.value;
  }
  presence(candidate: CandidateId): Presence {
    const pages = this.#pages.get(candidate);
    if (pages?.withdrawn.value) return "withdrawn";
    return pages?.presence.value ?? "expected";
  }
  withdrawal(candidate: CandidateId): NonNullable<EntryBody<"withdrawn">["why"]> | undefined {
    return this.#pages.get(candidate)?.withdrawn.value ?? undefined;
  }
  excuse(candidate: CandidateId, item: ItemId): EntryBody<"excused">["why"] | undefined {
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
  waveOf(candidate: CandidateId): number | undefined {
    return this.waves.find(({ lanes }) => lanes.includes(candidate))?.wave;
  }
  /** Who watches whom, as it stands: of a judge, a section and a wave the newest; those without a wave all. Oldest first. */
  get assignments(): EntryBody<"assigned">[] {
    return this.assignmentsAt(NOW);
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
  get asks(): readonly EntryOf<"remark-asked">[] {
    return this.#asks;
  }

  // ── the judges ───────────────────────────────────────────────────────────────
  /** Who took over from this judge; the judge itself when nobody did. Follows a chain of replacements, stops at a circle. */
  successor(judge: PersonId, at = NOW): PersonId {
    const seen = new Set<PersonId>();
    let now = judge;
    for (
      let next = this.#replacedJudges.get(now)?.at(at);
      next && !seen.has(now);
      next = this.#replacedJudges.get(now)?.at(at)
    ) {
      seen.add(now);
      now = next;
    }
    return now;
  }
  isRecused(judge: PersonId, candidate: CandidateId, section: SectionId, at = NOW): boolean {
    const recusals = this.#pages.get(candidate)?.recused ?? [];
    return recusals.some(
      ({ by, lamport, body }) =>
        by === judge && lamport <= at && (body.section === null || body.section === section),
    );
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
    return this.#pages.get(candidate)?.locks.has(lockKey(judge, section)) ?? false;
  }
  lock(judge: PersonId, candidate: CandidateId, section: SectionId): Stamp | undefined {
    return this.#pages.get(candidate)?.locks.get(lockKey(judge, section));
  }
  /** Marks are open: every judge assigned has locked (at least one is assigned), or the chief opened them with a reason. */
  isRevealed(candidate: CandidateId, section: SectionId, at = NOW): boolean {
    if (this.#pages.get(candidate)?.openedByChief.has(section)) return true;
    const judges = this.judgesOf(candidate, section, at);
    return judges.length > 0 && judges.every((judge) => this.hasLocked(judge, candidate, section));
  }
  /** What this judge wrote in this cell and stands now; undefined for blank (never written, or cleared). */
  cell(judge: PersonId, candidate: CandidateId, place: Place): Write | undefined {
    const write = this.#cell(judge, candidate, place)?.standing;
    return write?.level === "cleared" ? undefined : write;
  }
  /** What this judge's lock found in this cell: of what the lock speaks of, what stood; undefined for blank. */
  cellIn(basis: Basis, judge: PersonId, candidate: CandidateId, place: Place): Write | undefined {
    const known = this.writes(judge, candidate, place).filter((write) => isInBasis(write, basis));
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
   *   `verdict`: with re-marks, without late marks the chief has not let count; `now`: whatever stands, locked or not.
   */
  marks(candidate: CandidateId, as: "lock" | "verdict" | "now"): Mark[] {
    const pages = this.#pages.get(candidate);
    if (!pages) return [];
    const found: Mark[] = [];
    for (const cell of pages.cells.values()) {
      const { judge, place, writes } = cell;
      const lock = as === "now" ? undefined : pages.locks.get(cell.lock);
      const [only] = writes;
      // The usual cell: written once, before the lock.
      const isWhole = !lock || (only && writes.length === 1 && isInBasis(only, lock.basis));
      const write = isWhole
        ? cell.standing
        : standing(
            writes.filter((one) =>
              as === "lock"
                ? isInBasis(one, lock.basis)
                : isInBasis(one, lock.basis) ||
                  one.lamport > lock.lamport ||
                  this.#lateCounts(pages, judge, place),
            ),
          );
      if (!write || write.level === "cleared") continue;
      const { section, item, side, criterion } = place;
      const { level, how } = write;
      found.push({ section, item, side, criterion, judge, candidate, level, how });
    }
    return found;
  }
  /** Marks that came after the reveal without belonging to their judge's lock, by judge and section. */
  lateMarks(candidate: CandidateId): { judge: PersonId; place: Place }[] {
    const pages = this.#pages.get(candidate);
    if (!pages) return [];
    return [...pages.cells.values()]
      .filter(({ writes, lock: key }) => {
        const lock = pages.locks.get(key);
        return (
          lock !== undefined &&
          writes.some((write) => !isInBasis(write, lock.basis) && write.lamport <= lock.lamport)
        );
      })
      .map(({ judge, place }) => ({ judge, place }));
  }
  #lateCounts(pages: CandidatePages, judge: PersonId, place: Place): boolean {
    return (
      pages.settled.get(lateQuestion(judge, place.section))?.value?.body.decision === "late-counts"
    );
  }
  overall(judge: PersonId, candidate: CandidateId, section: SectionId): number | null {
    return this.#pages.get(candidate)?.overall.get(lockKey(judge, section))?.value ?? null;
  }
  /** Every overall judgement given of this candidate. */
  overalls(candidate: CandidateId): { judge: PersonId; section: SectionId; judgement: number }[] {
    const given = [...(this.#pages.get(candidate)?.overall ?? [])];
    return given.flatMap(([key, { value }]) => {
      const [judge, section] = key.split("/") as [PersonId, SectionId];
      return value === null || value === undefined ? [] : [{ judge, section, judgement: value }];
    });
  }
  faults(judge: PersonId, candidate: CandidateId, place: Place): readonly FaultId[] {
    return this.#pages.get(candidate)?.faults.get(`${judge}/${placeKey(place)}`)?.seen.value ?? [];
  }
  faultsOf(candidate: CandidateId): FaultsSeen[] {
    const kept = [...(this.#pages.get(candidate)?.faults.values() ?? [])];
    return kept.flatMap(({ place, judge, seen }) =>
      seen.value?.length ? [{ ...place, judge, candidate, faults: seen.value }] : [],
    );
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
    return this.#pages.get(candidate)?.settled.get(question)?.value;
  }
  /** Everything settled of this candidate, each question as it was settled last. */
  settlements(candidate: CandidateId): EntryOf<"review-settled">[] {
    const settled = this.#pages.get(candidate)?.settled.values() ?? [];
    return [...settled].flatMap(({ value }) => value ?? []);
  }
  verdict(candidate: CandidateId): EntryOf<"verdict"> | undefined {
    return this.#pages.get(candidate)?.verdict.value;
  }
  sheetEdit(candidate: CandidateId): EntryOf<"sheet-edited"> | undefined {
    return this.#pages.get(candidate)?.sheetEdit.value;
  }
  release(candidate: CandidateId): EntryOf<"sheet-released"> | undefined {
    return this.#pages.get(candidate)?.released.value;
  }
}

/** What a later `assigned` entry takes the place of: the same judge's watch of the same section and wave; without a wave, nothing. */
const watchKey = ({ id, body: { judge, section, wave } }: EntryOf<"assigned">): string =>
  wave === undefined ? id : `${judge}/${section}/${wave}`;

/** The key of the question whether a judge's late marks of a section count. */
export const lateQuestion = (judge: PersonId, section: SectionId): string =>
  `late/${judge}/${section}`;

/** Folds a list of entries; the order does not matter. */
export function fold(entries: Iterable<AnyEntry>): Scorebook {
  const book = new Scorebook();
  for (const entry of entries) book.add(entry);
  return book;
}

function isInBasis(write: Write, basis: Basis): boolean {
  return write.n <= ((basis as Record<string, number>)[write.device] ?? 0);
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
