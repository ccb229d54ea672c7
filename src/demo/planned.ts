import type { CandidateId, SectionId } from "../belt-test/identity.ts";
import type { Role } from "../belt-test/kinds/body-parts.ts";
import { agesOut } from "../belt-test/planning/excused-by-age.ts";
import { ring } from "../belt-test/planning/ring.ts";
import type { FaultLibrary } from "../belt-test/rubric/fault-library.ts";
import type { Rubric } from "../belt-test/rubric/rubric.ts";
import { inTwo } from "../belt-test/scorebook/candidate-details.ts";
import type { Pen } from "../belt-test/scorebook/pen.ts";
import { RULES } from "../belt-test/scorebook/rules.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { GradingId, PersonId, TextRef } from "../book/identity.ts";
import type { SideRecord } from "../book/side-record.ts";
import { makeSideRecord } from "../line/make-side-record.ts";
import { chance, seedOf } from "./chance.ts";
import type { Scenario } from "./scenario.ts";

/** Lanes each judge takes: what the load model allows at a hall's pace. */
const LANES_A_JUDGE = 3;

export const candidateIdOf = (number: number): CandidateId => `candidate-${number}` as CandidateId;

export interface Planned {
  entries: AnyEntry[];
  sides: SideRecord[];
}

/** The visitor who opened the example: its chief, and one more judge of whatever is still to come. */
export interface Guest {
  /** From this section of this wave on, and in every later wave. */
  from: { wave: number; section: SectionId | undefined };
}

/** The scenario's plan in the chief's hand: opened, frozen, seated, entered, checked in, lined up, assigned, started. */
export function planned(
  scenario: Scenario,
  rubrics: readonly Rubric[],
  grading: GradingId,
  chief: Pen,
  guest?: Guest,
  library?: FaultLibrary,
): Planned {
  const { seed, judges, candidates } = scenario;
  const entries: AnyEntry[] = [];
  const sides: SideRecord[] = [];
  const used = rubrics.filter(({ id }) => candidates.some((candidate) => candidate.rubric === id));
  const missing = candidates.find(({ rubric }) => !used.some(({ id }) => id === rubric));
  if (missing)
    throw new RangeError(`planned: no rubric ${missing.rubric} for candidate ${missing.number}`);

  entries.push(
    chief.write("opened", {
      title: scenario.title,
      date: scenario.date,
      example: true,
      rules: RULES,
    }),
  );
  for (const rubric of used) entries.push(chief.write("frozen", { rubric }));
  if (library) entries.push(chief.write("faults-frozen", { library }));

  const seat = (id: string, name: string, roles: Role[]) =>
    entries.push(
      chief.write("seated", {
        person: id as PersonId,
        roles,
        details: keep(id, "person", { name }),
      }),
    );
  seat(scenario.chief.id, scenario.chief.name, guest ? ["chief", "judge"] : ["chief"]);
  seat(scenario.caller.id, scenario.caller.name, ["caller"]);
  seat(scenario.desk.id, scenario.desk.name, ["desk"]);
  for (const { id, name } of judges) seat(id, name, ["judge"]);

  for (const person of candidates) {
    const { number, given, family, sounds, birthYear, rubric: rubricId, presence } = person;
    const candidate = candidateIdOf(number);
    const its = inTwo({ given, family, birthYear, ...(sounds ? { sounds } : {}) });
    const refs = {
      details: keep(candidate, "candidate", its.rest),
      given: keep(candidate, "candidate", its.given, "given"),
    };
    entries.push(chief.write("entered", { candidate, number, rubric: rubricId, ...refs }));
    const rubric = used.find(({ id }) => id === rubricId) as Rubric;
    for (const { section, item } of agesOut(rubric, birthYear, scenario.date)) {
      const reason = keep(candidate, "text", { text: "age" }, `excused-${item}`);
      entries.push(chief.write("excused", { candidate, section, item, reason }));
    }
    entries.push(chief.write(presence, { candidate }));
  }

  for (const wave of new Set(candidates.map((candidate) => candidate.wave))) {
    const here = candidates.filter((candidate) => candidate.wave === wave);
    const lanes = here.map(({ number }) => candidateIdOf(number));
    entries.push(chief.write("lined-up", { wave, lanes }));
    const sections = [
      ...new Set(
        here
          .flatMap(({ rubric }) => used.find(({ id }) => id === rubric)?.sections ?? [])
          .map(({ id }) => id),
      ),
    ];
    for (const [judge, watched] of ring(
      lanes,
      judges.map(({ id }) => id as PersonId),
      LANES_A_JUDGE,
      wave,
    )) {
      for (const section of sections)
        entries.push(chief.write("assigned", { judge, section, candidates: watched, wave }));
    }
  }
  if (guest) entries.push(...guestSeats(scenario, used, chief, guest));
  entries.push(chief.write("started", {}));
  return { entries, sides };

  function keep(
    about: string,
    kind: "person" | "candidate" | "text",
    body: Record<string, unknown>,
    part = "",
  ): TextRef {
    // Salts of the invented people repeat from the seed, so that the demonstration files do not change from run to run.
    const own = chance(seedOf(seed, "side", about, ...(part ? [part] : [])));
    const { record, ref } = makeSideRecord(
      { grading, about: about as PersonId, kind, body },
      {
        random: (bytes) => Uint8Array.from({ length: bytes }, () => Math.floor(own.share() * 256)),
      },
    );
    sides.push(record);
    return ref;
  }
}

/** The guest marks the first lanes of what has not been called yet, so that nothing is open behind them. */
function guestSeats(
  scenario: Scenario,
  rubrics: readonly Rubric[],
  chief: Pen,
  { from }: Guest,
): AnyEntry[] {
  const judge = scenario.chief.id as PersonId;
  return [...new Set(scenario.candidates.map(({ wave }) => wave))]
    .filter((wave) => wave >= from.wave)
    .flatMap((wave) => {
      const here = scenario.candidates.filter(
        (candidate) => candidate.wave === wave && candidate.presence === "checked-in",
      );
      const watched = here.slice(0, LANES_A_JUDGE);
      const sections = [
        ...new Set(
          here.flatMap(
            ({ rubric }) =>
              rubrics.find(({ id }) => id === rubric)?.sections.map(({ id }) => id) ?? [],
          ),
        ),
      ];
      const start =
        wave === from.wave && from.section ? Math.max(0, sections.indexOf(from.section)) : 0;
      return sections.slice(start).map((section) =>
        chief.write("assigned", {
          judge,
          section,
          wave,
          candidates: watched.map(({ number }) => candidateIdOf(number)),
        }),
      );
    });
}
