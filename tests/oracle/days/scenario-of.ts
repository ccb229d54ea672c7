import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { Scenario } from "../../../src/demo/scenario.ts";
import { shippedRubrics } from "../../builders/shipped-rubrics.ts";
import type { Dice } from "../../world/dice.ts";

export const schoolRubrics = shippedRubrics.map(({ json }) => Rubric.parse(json));

const JUDGES = ["marlow", "ferreira", "quist", "adeyemi"];
const GIVEN = ["Ada", "Ben", "Cleo"];
/** Sections, groups and criteria in which somebody may be weaker. */
const WEAK = ["chamber", "stance", "block", "form", "extension"];

/** A small hall out of a seed: who judges and how, who is tested by which rubric, and how well they do. */
export function scenarioOf(seed: number, dice: Dice): Scenario {
  const rubrics = schoolRubrics.map(({ id }) => id);
  const here = dice.falls(0.4) ? [dice.pick(rubrics), dice.pick(rubrics)] : [dice.pick(rubrics)];
  // A complete panel is dear to reckon: of several children fewer judges.
  const candidates = dice.falls(0.1) ? 3 : dice.whole(1, 2);
  const judges = candidates === 1 ? dice.whole(2, 4) : dice.falls(0.3) ? 3 : 2;
  return Scenario.parse({
    about: "Invented.",
    title: "Belt test",
    date: "2026-06-13",
    seed,
    chief: { id: "chief", name: "Chief Examiner" },
    caller: { id: "caller", name: "Caller" },
    desk: { id: "desk", name: "Desk" },
    judges: JUDGES.slice(0, judges).map((id, index) => ({
      id,
      name: `Judge ${id}`,
      about: "Invented.",
      quirks: {
        severity: dice.between(-0.5, 0.5),
        noise: dice.between(0.2, 0.7),
        notices: dice.between(0.6, 1),
        halo: dice.falls(0.3) ? 0.6 : 0,
        range: dice.falls(0.2) ? 0.3 : 1,
        ...(index === 0 && dice.falls(0.3) ? { ownStudents: [1], favour: 0.8 } : {}),
      },
    })),
    candidates: GIVEN.slice(0, candidates).map((given, index) => ({
      number: index + 1,
      given,
      family: `Family-${index + 1}`,
      ...(dice.falls(0.3) ? { sounds: `${given}-said` } : {}),
      birthYear: dice.whole(1980, 2019),
      rubric: dice.pick(here),
      wave: dice.falls(0.3) ? 2 : 1,
      ability: dice.between(-1.2, 1.1),
      habits: { [dice.pick(WEAK)]: dice.between(-1, 0.5) },
      presence: index > 0 && dice.falls(0.08) ? dice.pick(["absent", "unfit"]) : "checked-in",
    })),
  });
}
