import type { CandidateId, PersonId, SectionId } from "../core/identity.ts";
import type { Step } from "../core/planning/script.ts";
import { waveScript } from "../core/planning/wave-script.ts";
import { assignedPlaces } from "../core/scorebook/assigned-places.ts";
import { isCallDone } from "../core/scorebook/call-done.ts";
import { placeKey } from "../core/scorebook/cell.ts";
import { type AnyEntry, type EntryBody, isKnown } from "../core/scorebook/entry.ts";
import type { Scorebook } from "../core/scorebook/scorebook.ts";
import type { Coverage, CoverageNews, DoneCall } from "./protocol.ts";

const nothing: CoverageNews = { work: [], calls: [] };

/**
 * How far each judge is, for people who may know that but not which level.
 *
 * Before the reveal it is told by judge, child and section only: begun, all filled, locked. Cell by cell it would tell the marks themselves: where
 * one marks by exception, the cells that are filled first are the exceptions. Of the call on the floor it is told when a judge is done with every child.
 */
export class CoverageBoard {
  readonly #work = new Map<string, Coverage>();
  readonly #calls = new Map<string, DoneCall>();
  /** What was filled, by judge, child and section, so that one more mark costs the same however many there are. */
  readonly #filled = new Map<string, Set<string>>();
  readonly #asked = new Map<string, { plan: number; places: readonly string[] }>();

  readonly #scripts = new Map<number, { version: number; steps: readonly Step[] }>();

  #waves: { version: number; of: Map<CandidateId, number> } = { version: -1, of: new Map() };

  /** Notes an entry that is in `book` already. @returns what is otherwise now. */
  note(book: Scorebook, entry: AnyEntry): CoverageNews {
    if (!isKnown(entry)) return nothing;
    if (entry.kind === "locked") {
      const { section, candidates } = entry.body;
      return {
        work: candidates.flatMap((candidate) => this.#look(book, entry.by, candidate, section)),
        calls: [],
      };
    }
    if (entry.kind !== "mark") return nothing;
    const { section, cells } = entry.body;
    const work = [...new Set(cells.map(({ candidate }) => candidate))].flatMap((candidate) => {
      this.#fill(book, entry.by, candidate, entry.body);
      return this.#look(book, entry.by, candidate, section);
    });
    return { work, calls: this.#lookAtCall(book, entry.by, entry.body) };
  }

  /** Everything, for somebody who has just come in. */
  all(): CoverageNews {
    return { work: [...this.#work.values()], calls: [...this.#calls.values()] };
  }

  #fill(
    book: Scorebook,
    judge: PersonId,
    candidate: CandidateId,
    { section, item, side, cells }: EntryBody<"mark">,
  ): void {
    const key = keyOf(judge, candidate, section);
    let filled = this.#filled.get(key);
    if (!filled) this.#filled.set(key, (filled = new Set()));
    for (const cell of cells) {
      if (cell.candidate !== candidate) continue;
      const place = { section, item, side, criterion: cell.criterion };
      if (book.cell(judge, candidate, place)) filled.add(placeKey(place));
      else filled.delete(placeKey(place));
    }
  }

  #look(book: Scorebook, judge: PersonId, candidate: CandidateId, section: SectionId): Coverage[] {
    const key = keyOf(judge, candidate, section);
    const filled = this.#filled.get(key);
    const state = book.hasLocked(judge, candidate, section)
      ? ("locked" as const)
      : !filled || filled.size === 0
        ? ("nothing" as const)
        : this.#places(book, judge, candidate, section).every((place) => filled.has(place))
          ? ("filled" as const)
          : ("begun" as const);
    const before = this.#work.get(key);
    const notSeen =
      state === "filled" || state === "locked" ? notSeenIn(book, judge, candidate, section) : [];
    const now: Coverage = { judge, candidate, section, state, notSeen };
    if (before?.state === state && before.notSeen.length === notSeen.length) return [];
    this.#work.set(key, now);
    return [now];
  }

  #places(
    book: Scorebook,
    judge: PersonId,
    candidate: CandidateId,
    section: SectionId,
  ): readonly string[] {
    const key = keyOf(judge, candidate, section);
    const known = this.#asked.get(key);
    if (known?.plan === book.planVersion) return known.places;
    const places = assignedPlaces(book, judge, candidate, section).map(placeKey);
    this.#asked.set(key, { plan: book.planVersion, places });
    return places;
  }

  #waveOf(book: Scorebook, candidate: CandidateId): number | undefined {
    const version = book.scriptVersion;
    if (this.#waves.version !== version)
      this.#waves = {
        version,
        of: new Map(book.waves.flatMap(({ wave, lanes }) => lanes.map((one) => [one, wave]))),
      };
    return this.#waves.of.get(candidate);
  }
  #script(book: Scorebook, wave: number): readonly Step[] {
    const version = book.scriptVersion;
    const known = this.#scripts.get(wave);
    if (known?.version === version) return known.steps;
    const steps = waveScript(book, wave);
    this.#scripts.set(wave, { version, steps });
    return steps;
  }

  #lookAtCall(book: Scorebook, judge: PersonId, body: EntryBody<"mark">): DoneCall[] {
    const [first] = body.cells;
    if (!first) return [];
    const wave = this.#waveOf(book, first.candidate);
    if (wave === undefined) return [];
    const step = this.#script(book, wave).find(
      (one) =>
        one.asked &&
        one.section === body.section &&
        one.candidates.includes(first.candidate) &&
        (one.marking === "checklist" || (one.item === body.item && one.markedSide === body.side)),
    );
    if (!step) return [];
    const { section, item, markedSide: side, marking } = step;
    const alone = marking === "single" && item !== null ? first.candidate : null;
    const call = { judge, wave, section, item, side, alone };
    const key = JSON.stringify(call);
    // This child's row first: while it is not whole, nobody else's needs to be looked at.
    const done =
      isCallDone(book, judge, wave, { ...step, candidates: [first.candidate] }) &&
      isCallDone(book, judge, wave, step);
    if ((this.#calls.get(key)?.done ?? false) === done) return [];
    this.#calls.set(key, { ...call, done });
    return [{ ...call, done }];
  }
}

const keyOf = (judge: PersonId, candidate: CandidateId, section: SectionId): string =>
  `${judge}/${candidate}/${section}`;

function notSeenIn(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): Coverage["notSeen"] {
  return assignedPlaces(book, judge, candidate, section).flatMap(({ item, side, criterion }) =>
    book.cell(judge, candidate, { section, item, side, criterion })?.level === "not-seen"
      ? [{ item, side, criterion }]
      : [],
  );
}
