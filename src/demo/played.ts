import type { CandidateId } from "../belt-test/identity.ts";
import { callBody } from "../belt-test/planning/call-body.ts";
import { waveScript } from "../belt-test/planning/wave-script.ts";
import type { FaultLibrary } from "../belt-test/rubric/fault-library.ts";
import { faultsFor } from "../belt-test/rubric/fault-library.ts";
import { criteriaAt, itemOf, meetsLevelAt, sectionOf } from "../belt-test/rubric/lookup.ts";
import { DONE, type Rubric } from "../belt-test/rubric/rubric.ts";
import { lockBody, workOf } from "../belt-test/scorebook/judge-view.ts";
import type { Pen } from "../belt-test/scorebook/pen.ts";
import type { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { markedAlike, type Step } from "../belt-test/script/script.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { PersonId } from "../book/identity.ts";
import { candidateIdOf } from "./planned.ts";
import type { Scenario } from "./scenario.ts";
import {
  exceptions,
  faultsSeen,
  isDone,
  overallJudgement,
  type Watching,
} from "./simulated-judge.ts";

export interface Play {
  scenario: Scenario;
  library: FaultLibrary;
  book: Scorebook;
}

/** One thing a judge's hand does at a step; `share` says when, 0 at the first count and 1 at the last tap. */
export interface Tap {
  share: number;
  write: (pen: Pen) => AnyEntry;
}

/** Everything a simulated judge does at one step, in order: exceptions, faults, then “rest meets”, then the overall judgement. */
export function tapsAt(
  { scenario, library, book }: Play,
  judgeId: string,
  wave: number,
  step: Step,
): Tap[] {
  const judge = scenario.judges.find(({ id }) => id === judgeId);
  if (!judge) return [];
  const taps = markedAlike(step).flatMap((part) =>
    part.asked ? writesAt({ scenario, library, book }, judge, wave, part) : [],
  );
  return taps.map((write, index) => ({ share: (index + 1) / taps.length, write }));
}

/** The same where all are marked alike. */
function writesAt(
  { scenario, library, book }: Play,
  judge: Play["scenario"]["judges"][number],
  wave: number,
  step: Step,
): Tap["write"][] {
  const judgeId = judge.id;
  const watched = step.candidates.filter((candidate) =>
    book.panel.judgesOf(candidate, step.section).includes(judgeId as PersonId),
  );
  const waves = Math.max(...scenario.candidates.map((candidate) => candidate.wave));
  const taps: Tap["write"][] = [];
  const rest = new Map<string, CandidateId[]>();

  for (const candidate of watched) {
    const person = scenario.candidates.find(({ number }) => candidateIdOf(number) === candidate);
    const rubric = book.plan.rubricOf(candidate) as Rubric;
    const section = sectionOf(rubric, step.section);
    if (!person || !section) continue;
    const item = step.item === null ? null : (itemOf(section, step.item) ?? null);
    const watching: Watching = {
      seed: scenario.seed,
      judge: judgeId,
      quirks: judge.quirks,
      dayShare: waves > 1 ? (wave - 1) / (waves - 1) : 0.5,
      rubric,
      section,
      item,
      side: step.markedSide,
    };
    if (section.marking === "checklist") {
      for (const listed of section.items.filter(
        ({ id }) => book.plan.excuse(candidate, id) === undefined,
      )) {
        const level = isDone(scenario.seed, judgeId, person, section, listed) ? 2 : 1;
        taps.push((pen) =>
          pen.write("mark", {
            section: section.id,
            item: listed.id,
            side: null,
            cells: [{ candidate, criterion: DONE, level, how: "tapped" }],
          }),
        );
      }
    } else {
      const where = { section: step.section, item: step.item, side: step.markedSide };
      const found = exceptions(watching, candidate, person);
      for (const exception of found) {
        const { criterion, level } = exception;
        taps.push((pen) =>
          pen.write("mark", { ...where, cells: [{ candidate, criterion, level, how: "tapped" }] }),
        );
        const faults = faultsSeen(
          watching,
          exception,
          faultsFor(library, section, item, criterion).map(({ id }) => id),
        );
        if (faults.length > 0)
          taps.push((pen) => pen.write("faults", { candidate, ...where, criterion, faults }));
      }
      for (const criterion of criteriaAt(section, item)) {
        if (found.some((exception) => exception.criterion === criterion)) continue;
        rest.set(criterion, [...(rest.get(criterion) ?? []), candidate]);
      }
    }
    if (step.item === null && section.overall) {
      taps.push((pen) =>
        pen.write("overall", {
          candidate,
          section: section.id,
          judgement: overallJudgement(watching, person),
        }),
      );
    }
  }
  if (rest.size > 0) {
    const { section: id, item, markedSide: side } = step;
    for (const candidate of watched) {
      const rubric = book.plan.rubricOf(candidate) as Rubric;
      const section = sectionOf(rubric, step.section);
      const level = section ? meetsLevelAt(rubric, section) : 1;
      const cells = [...rest].flatMap(([criterion, candidates]) =>
        candidates.includes(candidate)
          ? [{ candidate, criterion: criterion as typeof DONE, level, how: "rest" as const }]
          : [],
      );
      if (cells.length > 0)
        taps.push((pen) => pen.write("mark", { section: id, item, side, cells }));
    }
  }
  return taps;
}

/**
 * Plays waves of the scenario at once: every call, every tap, every lock.
 * @param until the wave and the share of its script (0–1) at which the play stops; absent plays to the end.
 */
export function play(
  game: Play,
  pens: { caller: Pen; judgeOf: (judge: string) => Pen },
  until?: { wave: number; share: number },
): AnyEntry[] {
  const { book, scenario } = game;
  const played: AnyEntry[] = [];
  const write = (pen: Pen, make: (pen: Pen) => AnyEntry) => {
    pen.hear(book.lamport);
    const entry = make(pen);
    book.add(entry);
    played.push(entry);
  };
  for (const { wave } of book.plan.waves) {
    if (until && wave > until.wave) break;
    const steps = waveScript(book, wave);
    const end = until && wave === until.wave ? halfWay(steps, until.share) : steps.length;
    steps.slice(0, end).forEach((step, index) => {
      write(pens.caller, (pen) => pen.write("called", callBody(wave, step)));
      for (const { id } of scenario.judges) {
        for (const tap of tapsAt(game, id, wave, step)) write(pens.judgeOf(id), tap.write);
        const isSectionOver = steps[index + 1]?.section !== step.section;
        const watched = isSectionOver
          ? workOf(book, id as PersonId, steps).find(({ section }) => section === step.section)
              ?.unlocked
          : undefined;
        for (const candidate of watched ?? [])
          write(pens.judgeOf(id), (pen) =>
            pen.write("locked", lockBody(book, id as PersonId, step.section, candidate)),
          );
      }
    });
  }
  return played;
}

/** The first step of the section that comes next after this share of a script. */
export function halfWay(steps: readonly Step[], share: number): number {
  const from = Math.floor(steps.length * share);
  const start = steps.findIndex(
    (step, index) => index >= from && step.section !== steps[index - 1]?.section,
  );
  return start < 0 ? steps.length : start;
}
