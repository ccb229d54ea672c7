import type { EntryId, PersonId } from "../../book/identity.ts";
import { historyOf, insertByAge, keyed, newestOf } from "../../book/keyed.ts";
import { byAge, type History, type Newest, NOW } from "../../book/order.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import {
  eachPlaceOnce,
  type MarkedPlace,
  markedPlaceKey,
  placesOf,
} from "../kinds/marked-place.ts";
import type { CandidateVersions } from "./candidate-versions.ts";
import type { EntryBody, EntryOf } from "./entry.ts";
import type { Folds } from "./folds.ts";
import {
  type Asked,
  type HeldPlace,
  heldPlaces,
  partedAt,
  tenuresOf,
  type Watch,
} from "./held-place.ts";

type Relation = EntryBody<"related">["relation"];

/**
 * Who marks whom: the watches as the chief assigned them, and what became of them. A *place* is one watch of a judge; it may go to another, and come back.
 */
export class Panel {
  readonly #versions: CandidateVersions;
  readonly #assignments = new Map<string, History<EntryOf<"assigned">>>();
  readonly #replacedJudges = new Set<PersonId>();
  /** Each with what was held beside it. */
  readonly #replacements: EntryOf<"judge-replaced">[] = [];
  readonly #heldAtGiving = new Map<EntryId, EntryOf<"held-at-giving">>();
  /** The first word of each judge, for a section or for all: what is said again changes nothing. */
  readonly #recused = new Map<CandidateId, Map<string, EntryOf<"recused">>>();
  readonly #relations = new Map<CandidateId, Map<PersonId, Newest<Relation>>>();
  #version = 0;
  // Asked with every mark, and the panel changes a few times a day.
  readonly #judges = new Map<string, ReadonlyMap<PersonId, Asked>>();
  readonly #naming = new Map<string, readonly History<EntryOf<"assigned">>[]>();

  constructor(versions: CandidateVersions) {
    this.#versions = versions;
  }

  readonly folds = {
    assigned: (entry) => {
      this.#changes();
      historyOf(this.#assignments, watchKey(entry)).offer(entry, entry);
    },
    "judge-replaced": (entry) => {
      this.#changes();
      this.#replacedJudges.add(entry.body.judge);
      insertByAge(this.#replacements, withHeld(entry, this.#heldAtGiving.get(entry.id)));
    },
    "held-at-giving": (entry) => {
      const { of } = entry.body;
      const before = this.#heldAtGiving.get(of);
      if (before && byAge(before, entry) < 0) return;
      this.#changes();
      this.#heldAtGiving.set(of, entry);
      const at = this.#replacements.findIndex(({ id }) => id === of);
      const given = this.#replacements[at];
      if (given) this.#replacements[at] = withHeld(given, entry);
    },
    related: (entry) => {
      const { candidate, relation } = entry.body;
      this.#versions.touch(candidate);
      const relations = keyed(this.#relations, candidate, () => new Map());
      newestOf(relations, entry.by).offer(relation, entry);
    },
    recused: (entry) => {
      const { candidate, section } = entry.body;
      const recused = keyed(this.#recused, candidate, () => new Map());
      const key = recusalKey(entry.by, section);
      const before = recused.get(key);
      if (before && byAge(before, entry) <= 0) return;
      this.#changes();
      this.#versions.touch(candidate);
      recused.set(key, entry);
    },
  } satisfies Folds;

  #changes(): void {
    this.#version++;
    this.#judges.clear();
    this.#naming.clear();
  }
  /** Grows with every entry that changes who marks whom. */
  get version(): number {
    return this.#version;
  }
  /** Who watches whom, as it stands: of a judge, a section and a wave the newest; those without a wave all. Oldest first. */
  get assignments(): EntryBody<"assigned">[] {
    return [...this.#assignments.values()]
      .flatMap((told) => told.at(NOW) ?? [])
      .sort(byAge)
      .map((entry) => entry.body);
  }
  /** Every child's section that somebody is to watch, once. */
  get watched(): MarkedPlace[] {
    return eachPlaceOnce(this.assignments.flatMap(placesOf));
  }
  /** Every watch that any plan has told, in no order. */
  get everTold(): EntryBody<"assigned">[] {
    return [...this.#assignments.values()].flatMap(({ states }) =>
      states.map(({ value }) => value.body),
    );
  }
  /** All places that were given to another, oldest first. */
  get replacements(): readonly EntryOf<"judge-replaced">[] {
    return this.#replacements;
  }
  /** Whether a lock of this judge's comes to light too late: the chief, on the road, gave a place away when the marks were open, and had not heard of it. */
  isUnheard(
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
    lock: { lamport: number },
  ): boolean {
    return this.#replacements.some(
      ({ lamport, body }) =>
        lock.lamport < lamport &&
        body.unheard?.some(
          (one) =>
            one.judge === judge && one.section === section && one.candidates.includes(candidate),
        ),
    );
  }
  get hasReplacements(): boolean {
    return this.#replacements.length > 0;
  }

  /** Who took over from this judge; the judge itself when nobody did. Follows a chain of replacements, and whoever comes again. */
  successor(judge: PersonId, at = NOW): PersonId {
    return this.holders(judge, at).at(-1) as PersonId;
  }
  /** The judge, and everybody who took the place after, in turn: see `tenuresOf`. */
  holders(judge: PersonId, at: number): PersonId[] {
    if (!this.#replacedJudges.has(judge)) return [judge];
    return tenuresOf(judge, this.#replacements, at).map(({ holder }) => holder);
  }
  /** Everybody who had this judge's place before. */
  predecessors(judge: PersonId): PersonId[] {
    return [...this.#replacedJudges].filter(
      (one) => one !== judge && this.holders(one, NOW).includes(judge),
    );
  }
  /** Every place that there is of a candidate's section at a logical time. In no order; one judge may have several. */
  placesAt(candidate: CandidateId, section: SectionId, at: number): HeldPlace[] {
    return heldPlaces([...this.#watchesAt(candidate, section, at)], this.#replacements, at);
  }
  /** The giving by which a judge said their last there, up to a moment; see held-place.ts. */
  partedAt(
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
    at: number,
  ): number | undefined {
    return partedAt(judge, [...this.#watchesAt(candidate, section, at)], this.#replacements, at);
  }
  /** @param section  null: in all of them, by one word */
  isRecused(judge: PersonId, candidate: CandidateId, section: SectionId | null, at = NOW): boolean {
    const recused = this.#recused.get(candidate);
    return [section, null].some((one) => {
      const its = recused?.get(recusalKey(judge, one));
      return its !== undefined && its.lamport <= at;
    });
  }
  /** Who stepped back from this candidate, in one section or in all. */
  recusedFrom(candidate: CandidateId): PersonId[] {
    const lines = [...(this.#recused.get(candidate)?.values() ?? [])];
    return [...new Set(lines.map(({ by }) => by))].sort();
  }
  relation(judge: PersonId, candidate: CandidateId): Relation | undefined {
    return this.#relations.get(candidate)?.get(judge)?.value;
  }

  /**
   * The judges who are to mark this candidate in this section, replacements and recusals applied.
   * @param at  logical time: who was to mark then
   */
  judgesOf(candidate: CandidateId, section: SectionId, at = NOW): readonly PersonId[] {
    return [...this.#askedAt(candidate, section, at).keys()].sort();
  }
  /** What this judge is to mark of this candidate in this section; undefined for one who is not to mark there. */
  askedOf(
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
    at = NOW,
  ): Asked | undefined {
    return this.#askedAt(candidate, section, at).get(judge);
  }
  #askedAt(candidate: CandidateId, section: SectionId, at: number): ReadonlyMap<PersonId, Asked> {
    const reckon = () => {
      const asked = new Map<PersonId, Asked>();
      for (const { holder, items, criteria } of this.placesAt(candidate, section, at)) {
        if (this.isRecused(holder, candidate, section, at)) continue;
        const more = asked.get(holder);
        asked.set(holder, more ? both(more, { items, criteria }) : { items, criteria });
      }
      return asked;
    };
    if (at !== NOW) return reckon();
    return keyed(this.#judges, markedPlaceKey({ candidate, section }), reckon);
  }
  /** The watches that name that child there, or ever did. */
  #everNaming(candidate: CandidateId, section: SectionId): readonly History<EntryOf<"assigned">>[] {
    return keyed(this.#naming, markedPlaceKey({ candidate, section }), () =>
      [...this.#assignments.values()].filter(({ states }) =>
        states.some(
          ({ value: { body } }) => body.section === section && body.candidates.includes(candidate),
        ),
      ),
    );
  }
  /** Every watch that names that child there, or had named it until then. */
  *#watchesAt(candidate: CandidateId, section: SectionId, at: number): IterableIterator<Watch> {
    for (const { states } of this.#everNaming(candidate, section)) {
      const told = states.filter(({ stamp }) => stamp.lamport <= at);
      const names = ({ value: { body } }: (typeof told)[number]) =>
        body.section === section && body.candidates.includes(candidate);
      const [newest, oldest] = [told.findIndex(names), told.findLast(names)];
      if (!oldest) continue;
      const { items, criteria } = (told[newest] ?? oldest).value.body;
      yield {
        ...{ judge: oldest.value.body.judge, items, criteria },
        since: oldest.stamp.lamport,
        until: told[newest - 1]?.stamp.lamport ?? NOW,
      };
    }
  }
  /**
   * The first logical moment at which everybody then assigned, and not stepped back, had locked, and somebody had; where a judge was replaced, a lock of either
   * is enough. Undefined while there is none.
   *
   * @param locks  of each judge who locked there the moments, oldest first
   */
  lockedByAllAt(
    candidate: CandidateId,
    section: SectionId,
    locks: ReadonlyMap<PersonId, readonly { lamport: number }[]>,
  ): number | undefined {
    const planned = this.#everNaming(candidate, section);
    if (planned.length === 0) return undefined;
    const lockedBy = (judge: PersonId): number => locks.get(judge)?.[0]?.lamport ?? NOW;
    const isDoneAt = (at: number): boolean => {
      let isLocked = false;
      for (const { holder, speakers } of this.placesAt(candidate, section, at)) {
        if (speakers.some((one) => lockedBy(one) <= at)) isLocked = true;
        else if (!this.isRecused(holder, candidate, section, at)) return false;
      }
      return isLocked;
    };
    const recused = [...(this.#recused.get(candidate)?.values() ?? [])];
    const moments = new Set<number>([
      ...[...locks.values()].flatMap((ofJudge) => ofJudge.map(({ lamport }) => lamport)),
      ...recused.flatMap(({ lamport, body }) =>
        (body.section ?? section) === section ? [lamport] : [],
      ),
      ...this.#replacements.map(({ lamport }) => lamport),
      ...planned.flatMap(({ states }) => states.map(({ stamp }) => stamp.lamport)),
    ]);
    return [...moments].sort((a, b) => a - b).find(isDoneAt);
  }
  /** The newest logical moment at which the chief said who marks this candidate there, or gave one of those places to another; 0 for never. */
  plannedAt(candidate: CandidateId, section: SectionId): number {
    const moments = [0];
    const holders = new Set<PersonId>();
    for (const told of this.#assignments.values())
      for (const { value, stamp } of told.states) {
        if (value.body.section !== section || !value.body.candidates.includes(candidate)) continue;
        moments.push(stamp.lamport);
        for (const judge of this.holders(value.body.judge, NOW)) holders.add(judge);
      }
    for (const { lamport, body } of this.#replacements)
      if (holders.has(body.judge)) moments.push(lamport);
    return Math.max(...moments);
  }
}

const recusalKey = (judge: PersonId, section: SectionId | null): string =>
  section === null ? judge : `${judge}/${section}`;

/** What a later `assigned` entry takes the place of: the same judge's watch of the same section and wave; without a wave, nothing. */
const watchKey = ({ id, body: { judge, section, wave } }: EntryOf<"assigned">): string =>
  wave === undefined ? id : `${judge}/${section}/${wave}`;

/** A place that was given away, with what its writer says to have held then. */
const withHeld = (
  given: EntryOf<"judge-replaced">,
  held: EntryOf<"held-at-giving"> | undefined,
): EntryOf<"judge-replaced"> => {
  if (!held || held.by !== given.by) return given;
  const { basis, unheard } = held.body;
  return { ...given, body: { ...given.body, basis, unheard } };
};

/** Two watches of one judge add up; an unlimited one is the widest. */
const both = (a: Asked, b: Asked): Asked => ({
  items: a.items && b.items && [...new Set([...a.items, ...b.items])],
  criteria: a.criteria && b.criteria && [...new Set([...a.criteria, ...b.criteria])],
});
