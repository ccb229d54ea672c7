import type { CandidateId, CriterionId, FaultId } from "../belt-test/identity.ts";
import { criteriaAt } from "../belt-test/rubric/lookup.ts";
import type { Item, Rubric, Section, Side } from "../belt-test/rubric/rubric.ts";
import { chance, seedOf } from "./chance.ts";
import type { Quirks, Scenario } from "./scenario.ts";

export type SimulatedCandidate = Scenario["candidates"][number];

/** A judge's exception: everything else of the line is “rest meets”. */
export interface Exception {
  candidate: CandidateId;
  criterion: CriterionId;
  level: number;
}

export interface Watching {
  seed: number;
  judge: string;
  quirks: Quirks;
  /** How far the day has gone, 0–1. */
  dayShare: number;
  rubric: Rubric;
  section: Section;
  item: Item | null;
  side: Side | null;
}

/**
 * What a simulated judge taps for one candidate at one step. What the candidate shows is the same for every judge;
 * what the judge makes of it is not. Repeatable from the seed.
 */
export function exceptions(
  watching: Watching,
  candidate: CandidateId,
  person: SimulatedCandidate,
): Exception[] {
  const { seed, judge, quirks, dayShare, rubric, section, item, side } = watching;
  if (section.marking === "checklist") return [];
  const meets = rubric.scale.meetsLevel;
  const favour = quirks.ownStudents.includes(person.number) ? quirks.favour : 0;
  const lean = favour - quirks.severity - quirks.drift * (dayShare - 0.5);
  return criteriaAt(section, item).flatMap((criterion) => {
    const shown = performance(seed, person, section, item, side, criterion);
    const own = chance(
      seedOf(seed, judge, person.number, section.id, item?.id ?? "", side ?? "", criterion),
    );
    const impression = quirks.halo * person.ability + (1 - quirks.halo) * shown;
    const seen = meets + quirks.range * (impression + lean + own.around(quirks.noise));
    const level = Math.max(1, Math.min(rubric.scale.levels.length, Math.round(seen)));
    return level !== meets && own.share() < quirks.notices ? [{ candidate, criterion, level }] : [];
  });
}

/** How far from *Meets* the candidate performs here, in levels. */
function performance(
  seed: number,
  person: SimulatedCandidate,
  section: Section,
  item: Item | null,
  side: Side | null,
  criterion: CriterionId,
): number {
  const sectionLuck = chance(seedOf(seed, person.number, section.id)).around(0.2);
  const itemLuck = chance(
    seedOf(seed, person.number, section.id, item?.id ?? "", side ?? ""),
  ).around(0.3);
  return (
    person.ability +
    (person.habits[criterion] ?? 0) +
    (item ? (person.habits[item.group] ?? 0) : 0) +
    sectionLuck +
    itemLuck
  );
}

/** Whether a checklist item is done: shown ability against an easy standard. */
export function isDone(
  seed: number,
  judge: string,
  person: SimulatedCandidate,
  section: Section,
  item: Item,
): boolean {
  const shown =
    1.1 +
    person.ability +
    (person.habits[item.group] ?? 0) +
    chance(seedOf(seed, person.number, section.id, item.id)).around(0.5);
  return shown + chance(seedOf(seed, judge, person.number, item.id)).around(0.1) > 0;
}

/** The overall judgement, 1–4, that goes with what was marked. */
export function overallJudgement(watching: Watching, person: SimulatedCandidate): number {
  const { seed, judge, quirks, section } = watching;
  const seen =
    person.ability -
    quirks.severity +
    chance(seedOf(seed, judge, person.number, section.id, "overall")).around(0.3);
  if (seen < -0.75) return 1;
  if (seen < -0.4) return 2;
  return seen > 0.6 ? 4 : 3;
}

/** The faults a judge taps for an exception below the line: mostly one, sometimes none. */
export function faultsSeen(
  watching: Watching,
  exception: Exception,
  offered: readonly FaultId[],
): FaultId[] {
  const own = chance(
    seedOf(
      watching.seed,
      watching.judge,
      exception.candidate,
      watching.item?.id ?? "",
      exception.criterion,
      "fault",
    ),
  );
  if (exception.level >= watching.rubric.scale.meetsLevel || own.share() < 0.35) return [];
  // The first fault of the rail is the commonest; the draw leans to it.
  const chosen = offered[Math.floor(own.share() ** 2 * Math.min(4, offered.length))];
  return chosen ? [chosen] : [];
}
