import type { Entries } from "../../book/entries.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { EntryId, PersonId } from "../../book/identity.ts";
import { insertByAge, keyed, listOf } from "../../book/keyed.ts";
import { NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import { type EntryOf, isKnown } from "./entry.ts";
import type { Folds } from "./folds.ts";
import type { HeldPlace } from "./held-place.ts";
import type { Panel } from "./panel.ts";
import type { Plan } from "./plan.ts";
import { isIn, type Seal, type Sealing, sealOf } from "./seal.ts";

/** What was said of one candidate's section that makes marks final, or opens them. */
class SectionPages {
  /** Of each judge, oldest first: one, but where two tablets did not know each other. */
  readonly locks = new Map<PersonId, Sealing[]>();
  readonly openedByChief: EntryOf<"revealed">[] = [];
  readonly held = new Map<PersonId, (Sealing & { of: EntryId })[]>();
  /** Grows with every lock and every opening. */
  version = 0;
  /** When it was opened, as reckoned last: kept until the panel or a lock is another. */
  openedAt: { of: number; at: number | undefined } | undefined;
}

/** What was held of a judge, and whether it was at the moment at which their place was given to another. */
type Held = Sealing & {
  /** By which giving of their place, in logical time; undefined for what is held for good. */
  givenAt: number | undefined;
};

/** When marks are final, and when everybody sees them. */
export class Openings {
  readonly #entries: Entries<AnyEntry>;
  readonly #versions: CandidateVersions;
  readonly #plan: Plan;
  readonly #panel: Panel;
  readonly #pages = new Map<CandidateId, Map<SectionId, SectionPages>>();

  constructor(
    entries: Entries<AnyEntry>,
    versions: CandidateVersions,
    { plan, panel }: { plan: Plan; panel: Panel },
  ) {
    this.#entries = entries;
    this.#versions = versions;
    this.#plan = plan;
    this.#panel = panel;
  }

  readonly folds = {
    locked: (entry) => {
      const { lamport, device, n } = entry;
      const { section, candidates, basis } = entry.body;
      for (const candidate of candidates) {
        const { locks } = this.#write(candidate, section);
        insertByAge(listOf(locks, entry.by), { lamport, device, n, basis });
      }
    },
    held: (entry) => {
      const { lamport, device, n } = entry;
      const { of, judge, candidate, section, basis, late } = entry.body;
      if (late) return;
      const { held } = this.#write(candidate, section);
      insertByAge(listOf(held, judge), { lamport, device, n, basis, of });
    },
    revealed: (entry) => {
      for (const candidate of entry.body.candidates)
        insertByAge(this.#write(candidate, entry.body.section).openedByChief, entry);
    },
  } satisfies Folds;

  #write(candidate: CandidateId, section: SectionId): SectionPages {
    this.#versions.touch(candidate);
    const ofCandidate = keyed(this.#pages, candidate, () => new Map());
    const pages = keyed(ofCandidate, section, () => new SectionPages());
    pages.version++;
    return pages;
  }
  #read(candidate: CandidateId, section: SectionId): SectionPages | undefined {
    return this.#pages.get(candidate)?.get(section);
  }

  hasLocked(judge: PersonId, candidate: CandidateId, section: SectionId): boolean {
    return this.locks(judge, candidate, section).length > 0;
  }
  lock(judge: PersonId, candidate: CandidateId, section: SectionId): Sealing | undefined {
    return this.locks(judge, candidate, section)[0];
  }
  /** Oldest first; more than one only where two tablets did not know each other. */
  locks(judge: PersonId, candidate: CandidateId, section: SectionId): readonly Sealing[] {
    return this.#read(candidate, section)?.locks.get(judge) ?? [];
  }
  /** The locks of everybody who locked there. */
  locksOf(candidate: CandidateId, section: SectionId): ReadonlyMap<PersonId, readonly Sealing[]> {
    return this.#read(candidate, section)?.locks ?? new Map();
  }
  /** Marks are open: see `openedAt`. @param at  logical time: whether they were open then */
  isRevealed(candidate: CandidateId, section: SectionId, at = NOW): boolean {
    if (this.#plan.rules === 1) return this.#isRevealedByPlan(candidate, section, at);
    const opened = this.openedAt(candidate, section);
    return opened !== undefined && opened <= at;
  }
  /** By the first rules: by the plan of now, so that a judge who joined later closed again what was open. */
  #isRevealedByPlan(candidate: CandidateId, section: SectionId, at: number): boolean {
    if (this.#read(candidate, section)?.openedByChief.length) return true;
    const judges = this.#panel.judgesOf(candidate, section, at);
    return judges.length > 0 && judges.every((judge) => this.hasLocked(judge, candidate, section));
  }
  /**
   * The first logical moment at which everybody then assigned, and not stepped back, had locked; or at which the chief opened the section,
   * or closed the test. What comes later never closes it again: whoever is assigned, replaced or steps back after it changes nothing.
   * Where a judge was replaced, a lock of either is enough. Undefined while it is closed.
   */
  openedAt(candidate: CandidateId, section: SectionId): number | undefined {
    const pages = this.#read(candidate, section);
    return (
      this.#openedBeforeClosing(candidate, section) ??
      (this.#versions.of(candidate) > 0 ? this.#plan.closing?.lamport : undefined) ??
      // Where a hub is lost, and the tablet that had locked there too, nothing here says when it was open: everybody has locked, and nobody is to wait for ever.
      (pages && this.#panel.lockedByAllAt(candidate, section, pages.locks))
    );
  }
  /** The closing opens only what was not: a chief who had not heard of the last locks may have closed the test before them, in logical time. */
  #openedBeforeClosing(candidate: CandidateId, section: SectionId): number | undefined {
    const pages = this.#read(candidate, section);
    if (!pages) return undefined;
    // What a hub held at the closing comes before the closing.
    const of = this.#panel.version + pages.version + Number(this.#plan.isClosed);
    if (pages.openedAt?.of === of) return pages.openedAt.at;
    const moments = [
      pages.openedByChief[0]?.lamport,
      this.#panel.lockedByAllAt(candidate, section, this.#heard(pages, candidate, section)),
    ].filter((moment) => moment !== undefined);
    const at = moments.length > 0 ? Math.min(...moments) : undefined;
    pages.openedAt = { of, at };
    return at;
  }

  /**
   * The locks there that say when the marks opened: not those that came when it had been said already, by a hub or by a chief on the road, what is final of
   * their judge. The marks were opened without them, and opened they stay as they were.
   */
  #heard(
    pages: SectionPages,
    candidate: CandidateId,
    section: SectionId,
  ): ReadonlyMap<PersonId, readonly Sealing[]> {
    const without = pages.openedByChief[0]?.body.without ?? [];
    return new Map(
      [...pages.locks].map(([judge, its]) => [
        judge,
        its.filter(
          (one) =>
            !without.includes(judge) &&
            !this.#panel.isUnheard(judge, candidate, section, one) &&
            !this.wasHeldBefore(one, judge, candidate, section),
        ),
      ]),
    );
  }

  /** How a chief opened the marks there by hand, oldest first. */
  openedByChief(candidate: CandidateId, section: SectionId): readonly EntryOf<"revealed">[] {
    return this.#read(candidate, section)?.openedByChief ?? [];
  }

  /** What is final of this judge's marks there; undefined while nothing is. */
  seal(judge: PersonId, candidate: CandidateId, section: SectionId): Seal | undefined {
    if (this.#versions.of(candidate) === 0) return undefined;
    const locks = this.locks(judge, candidate, section);
    // By the first rules the first lock stands, and the chief's opening is none.
    if (this.#plan.rules === 1) return locks[0] && [locks[0].basis];
    const inTime = this.locksInTime(judge, candidate, section);
    const held = this.#held(judge, candidate, section, inTime.length > 0);
    return sealOf(held.length > 0 ? locks : inTime, held);
  }
  /** Whoever locks when the marks are open already, having taken a place or joined, says nothing that counts by itself. */
  locksInTime(judge: PersonId, candidate: CandidateId, section: SectionId): Sealing[] {
    const opened = this.#openedBeforeClosing(candidate, section) ?? NOW;
    return this.locks(judge, candidate, section).filter(
      (one) => one.lamport <= opened && !this.#panel.isUnheard(judge, candidate, section, one),
    );
  }
  /** Whether what was held of this judge there is final whatever they lock. */
  isHeldForGood(judge: PersonId, candidate: CandidateId, section: SectionId): boolean {
    return this.#held(judge, candidate, section, true).length > 0;
  }
  /** What was held of this judge there and binds them. @param hasLocked  whether a lock of theirs is there in time */
  #held(judge: PersonId, candidate: CandidateId, section: SectionId, hasLocked: boolean): Held[] {
    const pages = this.#read(candidate, section);
    const byHub = this.#heldByHub(judge, candidate, section);
    const locks = pages?.locks.get(judge) ?? [];
    const opened = this.#openedBeforeClosing(candidate, section) ?? NOW;
    const said = byHub.length > 0 ? byHub : this.#heldByChief(pages, judge, locks, opened);
    const places = () => this.#panel.placesAt(candidate, section, opened);
    const others = (speakers: readonly PersonId[]) => speakers.filter((one) => one !== judge);
    return bindingOf(said, hasLocked, {
      isAsked: () =>
        places().some(
          ({ holder, speakers }) =>
            holder === judge &&
            !others(speakers).some((one) => this.hasLocked(one, candidate, section)),
        ),
      // Whoever stepped back since still has the place that their lock was made in. An opening that comes late is of a moment before they had it again.
      isBack: (lasting) =>
        locks.some((lock) => lasting.some(({ basis }) => isIn(basis, lock))) ||
        places().some(({ holder }) => holder === judge),
      hasWord: () => places().some(({ speakers }) => speakers.includes(judge)),
      partedAt: () => this.#panel.partedAt(judge, candidate, section, opened),
    });
  }
  #heldByHub(judge: PersonId, candidate: CandidateId, section: SectionId): Held[] {
    return (this.#read(candidate, section)?.held.get(judge) ?? []).flatMap((one): Held[] => {
      const entry = this.#entries.get(one.of);
      if (!entry) return [];
      return [{ ...one, givenAt: isPlaceGiven(entry, judge) ? entry.lamport : undefined }];
    });
  }
  /** Whether a hub had said what is final of this judge there, for good, when this lock had not come. */
  wasHeldBefore(
    lock: Sealing,
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
  ): boolean {
    return this.#heldByHub(judge, candidate, section).some(
      ({ givenAt, basis }) => givenAt === undefined && !isIn(basis, lock),
    );
  }
  /** Whether a lock of this judge's is what counts there: one that came when the marks were open already says nothing by itself. */
  hasLockThatCounts(judge: PersonId, candidate: CandidateId, section: SectionId): boolean {
    const seal = this.seal(judge, candidate, section);
    return this.locks(judge, candidate, section).some(({ basis }) => seal?.includes(basis));
  }
  /** Whether what a judge wrote there and did not lock is none of their word: they had stepped back from the child before the marks were open. */
  isUnsaid(judge: PersonId, candidate: CandidateId, section: SectionId): boolean {
    const opened = this.openedAt(candidate, section) ?? NOW;
    return (
      this.#panel.isRecused(judge, candidate, section, opened) &&
      !this.hasLockThatCounts(judge, candidate, section)
    );
  }
  /** Without a hub the chief's device says itself what it held. */
  #heldByChief(
    pages: SectionPages | undefined,
    judge: PersonId,
    locks: readonly Sealing[],
    openedAt: number,
  ): Held[] {
    // A second chief who opens what is open says nothing of what was final then.
    const opened = (pages?.openedByChief ?? [])
      .slice(0, 1)
      .filter((entry) => this.#isSpokenFor(entry, judge, locks));
    // A place that is given away when the marks are open lets nobody's late marks count.
    const given = this.#panel.replacements.filter(
      (entry) => isPlaceGiven(entry, judge) && entry.lamport <= openedAt,
    );
    return [...opened, ...given].flatMap(
      ({ kind, lamport, device, n, body: { basis } }): Held[] => {
        const givenAt = kind === "judge-replaced" ? lamport : undefined;
        return basis ? [{ lamport, device, n, basis, givenAt }] : [];
      },
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
      ? counts.some((count) => this.#entries.hasWrittenIn(count, judge))
      : locks.every((lock) => lock.lamport > lamport);
  }

  /** The places there as they were when the marks opened, or as they are. */
  placesOf(candidate: CandidateId, section: SectionId): HeldPlace[] {
    return this.#panel.placesAt(candidate, section, this.openedAt(candidate, section) ?? NOW);
  }
  /** Of each place that is this judge's there whose word before is that place's; a place of the judge's own has nobody. */
  predecessorsIn(judge: PersonId, candidate: CandidateId, section: SectionId): PersonId[][] {
    return this.placesOf(candidate, section)
      .filter(({ holder }) => holder === judge)
      .map(({ speakers }) => speakers.filter((one) => one !== judge));
  }
}

/**
 * What was held of a judge when their place was given to another speaks for a lock that never came: a lock in time takes its place, whoever has the place then.
 * Where that was more than once, the giving speaks by which they said their last there. Nor does it bind whoever has a place again in which nobody else
 * locked, or where something was held of them later; or whose word is no place's, since the place came back to them and was taken off: it would be final,
 * and count for nothing.
 */
function bindingOf(
  said: Held[],
  hasLocked: boolean,
  { isAsked, isBack, hasWord, partedAt }: WhereTheyStand,
): Held[] {
  const lasting = said.filter(({ givenAt }) => givenAt === undefined);
  if (lasting.length === said.length || hasLocked || !hasWord() || isAsked()) return lasting;
  if (lasting.length > 0 && isBack(lasting)) return lasting;
  const last = partedAt();
  return said.filter(({ givenAt }) => givenAt === undefined || givenAt === last);
}

/** Of a judge and one child's section, when the marks opened. */
interface WhereTheyStand {
  /** Whether they have a place whose marks waited for a lock of theirs. */
  isAsked: () => boolean;
  isBack: (lasting: readonly Held[]) => boolean;
  /** Whether what they said is the word of any place. */
  hasWord: () => boolean;
  /** By which giving they said their last there. */
  partedAt: () => number | undefined;
}

/**
 * Whether the place of this judge was given to another by this line. What was held of them then is final, unless they have the place again when the
 * marks are opened: whoever is asked for a lock is bound by that lock alone.
 */
const isPlaceGiven = (entry: AnyEntry, judge: PersonId): boolean =>
  isKnown(entry) &&
  entry.kind === "judge-replaced" &&
  entry.body.judge === judge &&
  entry.body.by !== judge;
