import type { CandidateId, SectionId } from "../belt-test/identity.ts";
import { isAlone, stepsVersion, waveSteps } from "../belt-test/planning/wave-script.ts";
import { sectionOf } from "../belt-test/rubric/lookup.ts";
import { assignedPlaces } from "../belt-test/scorebook/assigned-places.ts";
import { isCallDone } from "../belt-test/scorebook/call-done.ts";
import { placeKey } from "../belt-test/scorebook/cell.ts";
import { type EntryBody, isKnown } from "../belt-test/scorebook/entry.ts";
import type { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { markedAlike, type Step } from "../belt-test/script/script.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { PersonId } from "../book/identity.ts";
import { callKey, coverageKey } from "./coverage-key.ts";
import type { Coverage, CoverageNews, DoneCall } from "./protocol.ts";

/** Whether nothing of the section as a whole is missing: a judge who is asked for that cannot lock without it. */
function hasOverall(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  id: SectionId,
): boolean {
  const rubric = book.plan.rubricOf(candidate);
  const isAsked = rubric && sectionOf(rubric, id)?.overall;
  return !isAsked || book.marks.overall(judge, candidate, id) !== null;
}

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

  /** The book's plan and steps when what is told was last looked at as a whole. */
  #seen = { plan: 0, steps: 0 };
  readonly #scripts = new Map<number, { version: number; steps: readonly Step[] }>();

  #waves: { version: number; of: Map<CandidateId, number> } = { version: -1, of: new Map() };

  /** Notes an entry that is in `book` already. @returns what is otherwise now. */
  note(book: Scorebook, entry: AnyEntry): CoverageNews {
    if (!isKnown(entry)) return nothing;
    const { by } = entry;
    if (entry.kind === "locked") {
      const { section, candidates } = entry.body;
      return {
        work: candidates.flatMap((candidate) => this.#look(book, by, candidate, section)),
        calls: [],
      };
    }
    if (entry.kind === "overall") {
      const { candidate, section } = entry.body;
      const close = { section, item: null, side: null };
      const work = this.#look(book, by, candidate, section);
      return { work, calls: this.#lookAtCall(book, by, candidate, close) };
    }
    if (entry.kind !== "mark") return this.#lookAround(book);
    const { section, cells } = entry.body;
    const [first] = cells;
    const work = [...new Set(cells.map(({ candidate }) => candidate))].flatMap((candidate) => {
      this.#fill(book, by, candidate, entry.body);
      return this.#look(book, by, candidate, section);
    });
    return { work, calls: first ? this.#lookAtCall(book, by, first.candidate, entry.body) : [] };
  }

  /** Somebody left, or other things are asked of other people now: what was told of them may be otherwise, though nobody marked. */
  #lookAround(book: Scorebook): CoverageNews {
    const seen = { plan: book.planVersion, steps: stepsVersion(book) };
    const before = this.#seen;
    this.#seen = seen;
    if (seen.steps === before.steps) return nothing;
    const work =
      seen.plan === before.plan
        ? []
        : [...this.#work.values()].flatMap(({ judge, candidate, section }) =>
            this.#look(book, judge, candidate, section),
          );
    const calls = [...this.#calls.values()].flatMap(
      ({ judge, wave, section, item, side, alone }) => {
        const its = this.#script(book, wave).filter(
          (step) =>
            step.section === section &&
            step.item === item &&
            step.asked &&
            (alone === null ? !isAlone(step) : isAlone(step) && step.candidates[0] === alone),
        );
        // By which sides it is called depends on who is here.
        const same = its.filter(({ markedSide }) => markedSide === side);
        return (same.length > 0 ? same : its).flatMap((step) =>
          this.#lookAtStep(book, judge, wave, step, alone),
        );
      },
    );
    return { work, calls };
  }

  /** Everything, for somebody who has just come in. */
  all(): CoverageNews {
    return {
      work: [...this.#work.values()],
      calls: [...this.#calls.values()].filter(({ done }) => done),
    };
  }

  #fill(
    book: Scorebook,
    judge: PersonId,
    candidate: CandidateId,
    { section, item, side, cells }: EntryBody<"mark">,
  ): void {
    const key = coverageKey({ judge, candidate, section });
    let filled = this.#filled.get(key);
    if (!filled) this.#filled.set(key, (filled = new Set()));
    for (const cell of cells) {
      if (cell.candidate !== candidate) continue;
      const place = { section, item, side, criterion: cell.criterion };
      if (book.marks.cell(judge, candidate, place)) filled.add(placeKey(place));
      else filled.delete(placeKey(place));
    }
  }

  #look(book: Scorebook, judge: PersonId, candidate: CandidateId, section: SectionId): Coverage[] {
    const key = coverageKey({ judge, candidate, section });
    const filled = this.#filled.get(key);
    const state = book.openings.hasLocked(judge, candidate, section)
      ? ("locked" as const)
      : !filled || filled.size === 0
        ? ("nothing" as const)
        : hasOverall(book, judge, candidate, section) &&
            this.#places(book, judge, candidate, section).every((place) => filled.has(place))
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
    const key = coverageKey({ judge, candidate, section });
    const known = this.#asked.get(key);
    if (known?.plan === book.planVersion) return known.places;
    const places = assignedPlaces(book, judge, candidate, section).map(placeKey);
    this.#asked.set(key, { plan: book.planVersion, places });
    return places;
  }

  #waveOf(book: Scorebook, candidate: CandidateId): number | undefined {
    const version = stepsVersion(book);
    if (this.#waves.version !== version)
      this.#waves = {
        version,
        of: new Map(
          book.plan.waveNumbers.flatMap((wave) =>
            book.plan.inWave(wave).map((one) => [one, wave] as const),
          ),
        ),
      };
    return this.#waves.of.get(candidate);
  }
  #script(book: Scorebook, wave: number): readonly Step[] {
    const version = stepsVersion(book);
    const known = this.#scripts.get(wave);
    if (known?.version === version) return known.steps;
    const steps = waveSteps(book, wave);
    this.#scripts.set(wave, { version, steps });
    return steps;
  }

  #lookAtCall(
    book: Scorebook,
    judge: PersonId,
    candidate: CandidateId,
    { section, item, side }: Pick<EntryBody<"mark">, "section" | "item" | "side">,
  ): DoneCall[] {
    const wave = this.#waveOf(book, candidate);
    if (wave === undefined) return [];
    const step = this.#script(book, wave).find((whole) =>
      markedAlike(whole).some(
        (one) =>
          one.asked &&
          one.section === section &&
          one.candidates.includes(candidate) &&
          (one.marking === "checklist" || (one.item === item && one.markedSide === side)),
      ),
    );
    if (!step) return [];
    const alone = isAlone(step) ? candidate : null;
    // This child first: while its row is not whole, nobody else's needs to be looked at.
    const others = step.candidates.filter((one) => one !== candidate);
    return this.#lookAtStep(
      book,
      judge,
      wave,
      { ...step, candidates: [candidate, ...others] },
      alone,
    );
  }

  #lookAtStep(
    book: Scorebook,
    judge: PersonId,
    wave: number,
    step: Step,
    alone: CandidateId | null,
  ): DoneCall[] {
    const { section, item, markedSide: side } = step;
    const call = { judge, wave, section, item, side, alone };
    const key = callKey(call);
    const done = step.candidates.every((one) =>
      isCallDone(book, judge, { ...step, candidates: [one] }),
    );
    const before = this.#calls.get(key)?.done;
    // What is begun and not done is kept too, to be looked at again when somebody leaves; it is news to nobody.
    this.#calls.set(key, { ...call, done });
    return (before ?? false) === done ? [] : [{ ...call, done }];
  }
}

function notSeenIn(
  book: Scorebook,
  judge: PersonId,
  candidate: CandidateId,
  section: SectionId,
): Coverage["notSeen"] {
  return assignedPlaces(book, judge, candidate, section).flatMap(({ item, side, criterion }) =>
    book.marks.cell(judge, candidate, { section, item, side, criterion })?.level === "not-seen"
      ? [{ item, side, criterion }]
      : [],
  );
}
