import { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { DeviceId, GradingId, PersonId } from "../../../src/book/identity.ts";
import { planned } from "../../../src/demo/planned.ts";
import { play } from "../../../src/demo/played.ts";
import { shippedLibrary } from "../../../src/hub/routes/shipped-library.ts";
import { anIdOf } from "../../builders/a-pen.ts";
import { Dice } from "../../world/dice.ts";
import { byWriters } from "../by-writers.ts";
import type { PlayedDay, Seated } from "../oracle-book.ts";
import { decided } from "./decided.ts";
import { scenarioOf, schoolRubrics } from "./scenario-of.ts";

const GRADING = "smooth-test" as GradingId;

/** A day as planned by rubrics as they are shipped: called, marked, locked, decided, written on sheets, closed. */
export function smoothDay(seed: number): PlayedDay {
  const dice = new Dice(seed, "smooth day");
  const scenario = scenarioOf(seed, dice);
  const library = dice.falls(0.7) ? shippedLibrary() : undefined;
  let made = 0;
  const makeId = () => anIdOf(++made);
  const nowMs = () => Date.parse(`${scenario.date}T10:00:00Z`) + made * 1000;
  const pens = new Map<string, Pen>();
  const penOf = (person: string): Pen => {
    let pen = pens.get(person);
    if (!pen) {
      const device = `${person}-tablet` as DeviceId;
      pen = new Pen({ grading: GRADING, person: person as PersonId, device, makeId, nowMs });
      pens.set(person, pen);
    }
    return pen;
  };
  const chief = penOf(scenario.chief.id);
  const plan = planned(scenario, schoolRubrics, GRADING, chief, undefined, library);
  const book = fold(plan.entries);
  const game = { scenario, library: library ?? shippedLibrary(), book };
  const played = play(game, { caller: penOf(scenario.caller.id), judgeOf: penOf });
  const decisions = decided({ book, grading: GRADING, pen: chief, dice, makeId });
  const people: Seated[] = [
    { person: scenario.chief.id as PersonId, roles: ["chief"] },
    { person: scenario.caller.id as PersonId, roles: ["caller"] },
    { person: scenario.desk.id as PersonId, roles: ["desk"] },
    ...scenario.judges.map(({ id }): Seated => ({ person: id as PersonId, roles: ["judge"] })),
  ];
  const entries = [...plan.entries, ...played, ...decisions.entries];
  const sides = new Map([...plan.sides, ...decisions.sides].map((side) => [side.id, side]));
  return { grading: GRADING, people, rounds: byWriters(entries, sides, people) };
}
