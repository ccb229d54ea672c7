import type { AnyBook } from "../../book/any-book.ts";
import { Awaited } from "../../book/awaited.ts";
import type { Basis } from "../../book/counts.ts";
import { disjoint } from "../../book/disjoint.ts";
import { Entries } from "../../book/entries.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { EntryId, PersonId } from "../../book/identity.ts";
import { keyed } from "../../book/keyed.ts";
import type { CandidateId } from "../identity.ts";
import { type KindThatIs, kindsThatAre } from "../kinds/all-kinds.ts";
import { CandidateVersions } from "./candidate-versions.ts";
import { Decisions } from "./decisions.ts";
import { asRead, type Entry, type EntryOf, isKnown } from "./entry.ts";
import { Floor } from "./floor.ts";
import type { Folds } from "./folds.ts";
import { Marks } from "./marks.ts";
import { Openings } from "./openings.ts";
import { tellsOfCount } from "./out-of-turn.ts";
import { Panel } from "./panel.ts";
import { Plan } from "./plan.ts";
import { Requests } from "./requests.ts";
import { isIn } from "./seal.ts";
import { Standards } from "./standards.ts";

const changesNothing = (): void => {};

const undoing = kindsThatAre("undoing");
const chiefHasRead = kindsThatAre("chief-has-read");
const readOnTheRoad = kindsThatAre("read-on-the-road");
const takesBack = (entry: Entry): entry is EntryOf<KindThatIs<"undoing">> =>
  undoing.has(entry.kind);

/**
 * The scorebook of one grading, folded: what stands, computed from the entries and from nothing else. Each view answers for its own kinds of entry.
 *
 * Entries may come in any order, any number of times, in any split: the state is the same (promise [S1]).
 * `add` costs the same however long the book is. Entries of unknown kinds are counted and otherwise ignored.
 * Refusing entries is not its business: see ../permit/.
 */
export class Scorebook implements AnyBook {
  readonly #entries = new Entries<AnyEntry>(tellsOfCount);
  readonly #versions = new CandidateVersions();
  readonly plan = new Plan(this.#versions, () => this.floor.calls);
  readonly panel = new Panel(this.#versions);
  readonly floor = new Floor(this.#versions);
  readonly standards = new Standards();
  readonly openings = new Openings(this.#entries, this.#versions, this);
  readonly decisions: Decisions = new Decisions(this.#versions, (settled) =>
    this.marks.isAskedAnew(settled),
  );
  readonly requests = new Requests(this.#versions, this);
  readonly marks = new Marks(this.#entries, this.#versions, this);
  readonly #erased = new Set<string>();
  /** Of each line that somebody takes back who. */
  readonly #undone = new Map<EntryId, Set<PersonId>>();
  readonly #spokenOfByHub = new Awaited();
  readonly #spokenOfByChief = new Awaited();
  readonly #spokenOfOnTheRoad = new Awaited();

  /** Every kind changes one view and no other, or says here that it changes none. */
  readonly #folds: Required<Folds> = disjoint(
    this.plan.folds,
    this.panel.folds,
    this.floor.folds,
    this.standards.folds,
    this.openings.folds,
    this.decisions.folds,
    this.requests.folds,
    this.marks.folds,
    {
      erased: ({ body }) => this.#erased.add(body.about),
      correction: changesNothing,
      "held-sealed": changesNothing,
    } satisfies Folds,
  );

  /** @returns false when this entry was here already. */
  add(entry: AnyEntry): boolean {
    // What is spoken of is awaited only where it had not come when that was read.
    if (!this.#entries.get(entry.id) && isKnown(entry)) this.#noteAwaited(entry);
    if (!this.#entries.add(entry)) return false;
    if (isKnown(entry)) this.#fold(asRead(entry));
    return true;
  }
  #fold(entry: Entry): void {
    if (takesBack(entry) && entry.body.undoes)
      keyed(this.#undone, entry.body.undoes, () => new Set()).add(entry.by);
    (this.#folds[entry.kind] as (entry: Entry) => void)(entry);
  }

  #noteAwaited(entry: Entry): void {
    const spokenOf =
      entry.kind === "held"
        ? this.#spokenOfByHub
        : chiefHasRead.has(entry.kind)
          ? this.#spokenOfByChief
          : readOnTheRoad.has(entry.kind)
            ? this.#spokenOfOnTheRoad
            : undefined;
    const { basis = {} } = entry.body as { basis?: Record<string, number> };
    spokenOf?.note(basis, entry.by, (count) => this.#entries.countOf(count));
  }
  /**
   * Whether a hub that lost it had held what comes at this place of a device's count: it speaks of it, and the device had not come so far when that was
   * read. Goes by the order of reading, unlike everything else here; asked when an entry comes in, never by what stands.
   */
  isAwaited(entry: AnyEntry): boolean {
    return this.#spokenOfByHub.has(entry);
  }
  /** The same of what a chief without a hub held when marks were opened or a place was given away: the chief's file comes before the others. */
  isSpokenOf(entry: AnyEntry): boolean {
    return this.#spokenOfOnTheRoad.has(entry);
  }
  /** The same of what lay before a chief who decided: a hub that was put back from an older copy hears the chief first. */
  isAwaitedByChief(entry: AnyEntry): boolean {
    return this.#spokenOfByChief.has(entry);
  }
  /**
   * Whether this place was passed over when somebody decided, or said to have looked again: it was free in its count, and what was written further on was known.
   * Filled now it would change what was decided.
   */
  isPassedOver(entry: AnyEntry, candidate: CandidateId): boolean {
    // Nearly everything comes in its turn.
    if (entry.n > this.#entries.countOf(entry.device)) return false;
    const said = [
      this.decisions.verdict(candidate),
      ...this.requests.answersOf(candidate),
      ...this.decisions.settlementsLast(candidate),
    ];
    return said.some((one) => one?.body.basis && isIn(one.body.basis, entry));
  }

  /** Grows with every new entry. */
  get version(): number {
    return this.#entries.size;
  }
  /** Grows with every entry that changes who marks whom, where, on what. */
  get planVersion(): number {
    return this.plan.version + this.panel.version;
  }
  /** Grows with every entry that changes the script of a wave: the plan, who is here, and who stands where. */
  get scriptVersion(): number {
    return this.planVersion + this.floor.version + this.plan.swapsSaid.length;
  }
  /** Grows with every entry about this candidate; 0 for a stranger. */
  candidateVersion(candidate: CandidateId): number {
    return this.#versions.of(candidate);
  }
  get lamport(): number {
    return this.#entries.lamport;
  }
  get size(): number {
    return this.#entries.size;
  }
  /** Highest `n` seen of each device, but for what comes out of turn (a stop and its like): whatever is below was there to be seen. */
  get basis(): Basis {
    return this.#entries.counts as Basis;
  }
  hasWrittenIn(count: string, person: PersonId): boolean {
    return this.#entries.hasWrittenIn(count, person);
  }
  entries(): IterableIterator<AnyEntry> {
    return this.#entries.all();
  }
  entry(id: EntryId): AnyEntry | undefined {
    return this.#entries.get(id);
  }
  /** Whether whoever wrote this line has taken it back: nobody else can. */
  isUndone(id: EntryId): boolean {
    const by = this.#entries.get(id)?.by;
    return by !== undefined && (this.#undone.get(id)?.has(by) ?? false);
  }
  /** Whether names and texts about this candidate or person are to be forgotten: none is kept, none is taken. There is no way back. */
  isErased(about: CandidateId | PersonId): boolean {
    return this.#erased.has(about);
  }
  /** Everybody of whom names and texts are to be forgotten. */
  get erased(): ReadonlySet<string> {
    return this.#erased;
  }
}

/** Folds a list of entries; the order does not matter. */
export function fold(entries: Iterable<AnyEntry>): Scorebook {
  const book = new Scorebook();
  for (const entry of entries) book.add(entry);
  return book;
}
