import type { CandidateId, RubricId, SectionId } from "../../../belt-test/identity.ts";
import type { Role } from "../../../belt-test/kinds/body-parts.ts";
import { laneOrder } from "../../../belt-test/planning/lane-order.ts";
import type { RosterCandidate } from "../../../belt-test/planning/roster.ts";
import type { SuggestedWave } from "../../../belt-test/planning/suggested-waves.ts";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import type { EntryBody } from "../../../belt-test/scorebook/entry.ts";
import type { GivenPlaces } from "../../../belt-test/scorebook/given-places.ts";
import { isShutTo } from "../../../belt-test/scorebook/is-shut-to.ts";
import { opensWithout } from "../../../belt-test/scorebook/opens-without.ts";
import type { Entrant, Seat } from "../../../belt-test/scorebook/plan.ts";
import type { PersonId } from "../../../book/identity.ts";
import type { SideRecord } from "../../../book/side-record.ts";
import { makeSideRecord } from "../../../line/make-side-record.ts";
import { enterCandidate } from "../../session/enter-candidate.ts";
import { giveBack } from "../../session/give-back.ts";
import { giveOver } from "../../session/held-without-hub.ts";
import { keepAges } from "../../session/keep-ages.ts";
import type { Notebook } from "../../session/notebook.ts";
import type { Services } from "../../session/services.tsx";
import { shippedLibrary } from "../../session/use-library.ts";
import { workState } from "../../session/work-state.ts";

/** Takes back what was just written, by writing what stood before. */
export type TakeBack = () => Promise<unknown>;

/**
 * The chief's hand on the plan. Each stroke writes entries at once and answers how to take it back;
 * nothing, where there is no way back but another stroke.
 */
export class PlanHand {
  readonly #notebook: Notebook;
  readonly #chance: Pick<Services, "makeId" | "random">;

  constructor(notebook: Notebook, chance: Pick<Services, "makeId" | "random">) {
    this.#notebook = notebook;
    this.#chance = chance;
  }

  get #book() {
    return this.#notebook.book;
  }
  #side(about: SideRecord["about"], kind: SideRecord["kind"], body: Record<string, unknown>) {
    const { grading } = this.#notebook.pass;
    return makeSideRecord({ grading, about, kind, body }, this.#chance);
  }

  // ── the test ─────────────────────────────────────────────────────────────────
  async call(title: string, date: string): Promise<TakeBack | undefined> {
    const before = this.#book.plan.opened;
    await this.#notebook.write("opened", { ...before, title, date });
    return before && (() => this.#notebook.write("opened", before));
  }
  async freeze(rubric: Rubric): Promise<undefined> {
    await this.#notebook.write("frozen", { rubric });
  }
  /** In the middle of a test; there is no way back but another replacement. */
  async replaceRubric(rubric: Rubric, text: string): Promise<undefined> {
    const { person } = this.#notebook.pass;
    if (!person) return;
    const { ref, record } = this.#side(person, "text", { text });
    await this.#notebook.write("rubric-replaced", { rubric, reason: ref }, { sides: [record] });
  }
  /** Opens the test, with everybody excused who is too young for an item. */
  async start(): Promise<void> {
    // What judges may say and sheets will say is fixed here, whatever is edited in the school's files later.
    const library = this.#book.plan.library
      ? undefined
      : await shippedLibrary().catch(() => undefined);
    if (library) await this.#notebook.write("faults-frozen", { library });
    await Promise.all([
      keepAges(this.#notebook, this.#chance),
      this.#notebook.write("started", {}),
    ]);
  }

  // ── candidates ───────────────────────────────────────────────────────────────
  /** Enters new candidates, all together or none: the disk takes them in one batch. */
  async enter(rows: readonly RosterCandidate[]): Promise<TakeBack> {
    const made = rows.map((row) => ({ row, candidate: this.#chance.makeId() as CandidateId }));
    await Promise.all(
      made.map(({ row, candidate }) =>
        enterCandidate(this.#notebook, this.#chance, candidate, row),
      ),
    );
    return () =>
      Promise.all(made.map(({ candidate }) => this.#notebook.write("absent", { candidate })));
  }
  /** @param text  why another rubric is given in the middle of a test; taking it back needs it as well. */
  async correct(entrant: Entrant, row: RosterCandidate, text?: string): Promise<TakeBack> {
    const { candidate } = entrant;
    const why = text === undefined ? undefined : this.#side(candidate, "text", { text });
    await enterCandidate(this.#notebook, this.#chance, candidate, row, why);
    const reason = why && { reason: why.ref };
    return () => this.#notebook.write("entered", { ...bodyOf(entrant), ...reason });
  }
  async setComing(candidate: CandidateId, isComing: boolean): Promise<TakeBack> {
    await this.#notebook.write(isComing ? "expected" : "absent", { candidate });
    return () => this.#notebook.write(isComing ? "absent" : "expected", { candidate });
  }

  // ── the panel ────────────────────────────────────────────────────────────────
  async seatNew(name: string, roles: Role[]): Promise<TakeBack> {
    const person = await this.#seat(name, roles);
    const details = this.#book.plan.seat(person)?.details;
    return () =>
      this.#notebook.write("seated", { person, roles: [], ...(details ? { details } : {}) });
  }
  async #seat(name: string, roles: Role[]): Promise<PersonId> {
    const person = this.#chance.makeId() as PersonId;
    const { ref, record } = this.#side(person, "person", { name });
    await this.#notebook.write("seated", { person, roles, details: ref }, { sides: [record] });
    return person;
  }
  /** Another takes all places of this judge, who goes. What was marked stays, and there is no way back but another replacement. */
  async giveOver(seat: Seat, to: PersonId | { name: string }): Promise<undefined> {
    const by = typeof to === "string" ? to : await this.#seat(to.name, ["judge"]);
    const { person: judge, details } = seat;
    await giveOver(this.#notebook, { judge, by });
    const roles = seat.roles.filter((role) => role !== "judge");
    await this.#notebook.write("seated", {
      person: judge,
      roles,
      ...(details ? { details } : {}),
    });
  }
  async reseat(seat: Seat, roles: Role[]): Promise<TakeBack> {
    const { person, details } = seat;
    const body = (now: Role[]) => ({ person, roles: now, ...(details ? { details } : {}) });
    const backs: TakeBack[] = [];
    // Whoever judges no more is taken off every lane, or the reveal would wait for a lock that never comes. Where the marks wait for nobody else the chief opens them, with a reason.
    if (!roles.includes("judge"))
      backs.push(
        await this.#assign(
          this.#book.panel.assignments.flatMap(({ judge, section, wave, candidates: before }) =>
            this.#book.panel.successor(judge) === person && wave !== undefined
              ? [{ judge, section, wave, before, after: [] }]
              : [],
          ),
        ),
      );
    await this.#notebook.write("seated", body(roles));
    backs.push(() => this.#notebook.write("seated", body(seat.roles)));
    return inTurn(backs);
  }

  // ── waves and lanes ──────────────────────────────────────────────────────────
  async lineUp(wave: number, lanes: readonly CandidateId[]): Promise<TakeBack> {
    const before = [...this.#book.plan.lanes(wave)];
    await this.#notebook.write("lined-up", { wave, lanes: [...lanes] });
    return () => this.#notebook.write("lined-up", { wave, lanes: before });
  }
  /** Puts a candidate into a wave, last or into a gap between its lanes (null: into none), out of every other, and takes the judges of the old wave off. */
  async move(candidate: CandidateId, to: number | null, gap?: number): Promise<TakeBack> {
    const strokes: Promise<TakeBack>[] = [];
    for (const { wave, lanes } of this.#book.plan.waves) {
      if (wave === to || !lanes.includes(candidate)) continue;
      const watching = new Set(
        this.#book.panel.assignments.map(({ judge }) => this.#book.panel.successor(judge)),
      );
      for (const judge of watching) {
        if (this.#sectionsWatched(judge, wave, candidate).length > 0)
          strokes.push(this.watch(judge, wave, [candidate], false));
      }
      strokes.push(
        this.lineUp(
          wave,
          lanes.filter((one) => one !== candidate),
        ),
      );
    }
    const lanes = to === null ? [] : this.#book.plan.lanes(to);
    const order = laneOrder(lanes, candidate, gap ?? lanes.length);
    if (to !== null && !(gap === undefined && lanes.includes(candidate)))
      strokes.push(this.lineUp(to, order));
    return inTurn(await Promise.all(strokes));
  }

  // ── who watches whom ─────────────────────────────────────────────────────────
  /** The candidates a judge is set to in a section of a wave. */
  watched(judge: PersonId, wave: number, section: SectionId): CandidateId[] {
    return this.#book.panel.assignments
      .filter((one) => one.judge === judge && one.section === section && one.wave === wave)
      .flatMap(({ candidates }) => candidates);
  }
  #sectionsWatched(judge: PersonId, wave: number, candidate: CandidateId): SectionId[] {
    return this.#sectionsOf([candidate]).filter((section) =>
      this.#placesOf(judge).some((place) => this.watched(place, wave, section).includes(candidate)),
    );
  }
  /** Whose places, by the plan, this judge has now: their own, and what others gave them. */
  #placesOf(judge: PersonId): PersonId[] {
    const { panel } = this.#book;
    const firsts = new Set([judge, ...panel.assignments.map((one) => one.judge)]);
    return [...firsts].filter((first) => panel.successor(first) === judge);
  }
  #sectionsOf(candidates: readonly CandidateId[]): SectionId[] {
    const all = candidates.flatMap(
      (candidate) => this.#book.plan.rubricOf(candidate)?.sections.map(({ id }) => id) ?? [],
    );
    return [...new Set(all)];
  }
  /** In which sections a judge stays with a child who is to be taken off: without them the marks there would be open at once. */
  staysIn(judge: PersonId, wave: number, candidate: CandidateId, only?: SectionId): SectionId[] {
    return this.#sectionsWatched(judge, wave, candidate).filter(
      (section) =>
        (only === undefined || section === only) && this.#opensWithout(judge, candidate, section),
    );
  }
  #opensWithout(judge: PersonId, candidate: CandidateId, section: SectionId): boolean {
    const isLocked = (one: PersonId) =>
      workState(this.#notebook, one, candidate, section) === "locked";
    const place = { candidate, section };
    return opensWithout(this.#book, place, ({ holder }) => holder === judge, isLocked);
  }
  /** Places that another has go back to whoever had them. */
  async giveBack(given: GivenPlaces): Promise<undefined> {
    await giveBack(this.#notebook, given);
  }
  /** Sets a judge's watch of candidates in a wave, in one section or (undefined) in all of theirs; or takes it off, in whatever place they watch there. */
  async watch(
    judge: PersonId,
    wave: number,
    candidates: readonly CandidateId[],
    isWatching: boolean,
    only?: SectionId,
  ): Promise<TakeBack> {
    const places = isWatching ? [judge] : this.#placesOf(judge);
    const sections = this.#sectionsOf(candidates).filter(
      (section) => only === undefined || section === only,
    );
    const wanted = places.flatMap((place) =>
      sections.map((section) => {
        const before = this.watched(place, wave, section);
        const here = candidates.filter((candidate) =>
          this.#book.plan.rubricOf(candidate)?.sections.some(({ id }) => id === section),
        );
        const after = isWatching
          ? [...new Set([...before, ...here])]
          : before.filter((candidate) => !here.includes(candidate));
        return { judge: place, wave, section, before, after };
      }),
    );
    return this.#assign(wanted);
  }
  async #assign(
    changes: readonly {
      judge: PersonId;
      wave: number;
      section: SectionId;
      before: CandidateId[];
      after: CandidateId[];
    }[],
  ): Promise<TakeBack> {
    const write = (which: "before" | "after") =>
      Promise.all(
        changes.map(({ judge, wave, section, [which]: wanted }) => {
          const before = this.watched(judge, wave, section);
          const candidates = this.#withoutOpened(judge, section, before, wanted);
          if (candidates.join() === before.join()) return undefined;
          const body: EntryBody<"assigned"> = { judge, section, wave, candidates };
          return this.#notebook.write("assigned", body);
        }),
      );
    await write("after");
    return () => write("before");
  }
  /**
   * Where the marks are open, who made them stays: one child whose marks are open would have the hub refuse the whole line. And nobody is taken off whom the
   * marks wait for alone, by a stroke that asks nothing.
   */
  #withoutOpened(
    judge: PersonId,
    section: SectionId,
    before: readonly CandidateId[],
    wanted: readonly CandidateId[],
  ): CandidateId[] {
    const holder = this.#book.panel.successor(judge);
    const opens = (candidate: CandidateId) => this.#opensWithout(holder, candidate, section);
    const isOpen = (candidate: CandidateId) =>
      this.#book.openings.openedAt(candidate, section) !== undefined;
    const stay = before.filter((one) => (isOpen(one) || opens(one)) && !wanted.includes(one));
    const may = wanted.filter(
      (one) => before.includes(one) || !isShutTo(this.#book, judge, one, section),
    );
    return [...stay, ...may];
  }
  /** Lays a suggested plan over whatever waves there are. */
  async take(suggested: readonly SuggestedWave[]): Promise<TakeBack> {
    // Written together, so that the disk and the hub take them in one batch.
    const strokes: Promise<TakeBack>[] = [];
    const last = Math.max(
      0,
      ...suggested.map(({ wave }) => wave),
      ...this.#book.plan.waves.map(({ wave }) => wave),
    );
    // Also the places of whoever gave them away and left: another marks there.
    const judges = new Set([
      ...this.#book.plan.seats.flatMap(({ person, roles }) =>
        roles.includes("judge") ? [person] : [],
      ),
      ...this.#book.panel.assignments.map(({ judge }) => judge),
    ]);
    for (let wave = 1; wave <= last; wave++) {
      const plan = suggested.find((one) => one.wave === wave);
      const lanes = plan?.lanes ?? [];
      if (lanes.join() !== this.#book.plan.lanes(wave).join())
        strokes.push(this.lineUp(wave, lanes));
      const sections = new Set([
        ...this.#sectionsOf(lanes),
        ...this.#book.panel.assignments
          .filter((one) => one.wave === wave)
          .map((one) => one.section),
      ]);
      strokes.push(
        this.#assign(
          [...judges].flatMap((judge) =>
            [...sections].map((section) => ({
              judge,
              wave,
              section,
              before: this.watched(judge, wave, section),
              after: (plan?.watches.get(judge) ?? []).filter((candidate) =>
                this.#book.plan.rubricOf(candidate)?.sections.some(({ id }) => id === section),
              ),
            })),
          ),
        ),
      );
    }
    return inTurn(await Promise.all(strokes));
  }
}

const bodyOf = ({ candidate, number, rubric, details, given }: Entrant): EntryBody<"entered"> => ({
  candidate,
  number,
  rubric: rubric as RubricId,
  ...(details ? { details } : {}),
  ...(given ? { given } : {}),
});

/** The last stroke is taken back first. */
const inTurn =
  (backs: readonly TakeBack[]): TakeBack =>
  () =>
    Promise.all([...backs].reverse().map((back) => back()));
