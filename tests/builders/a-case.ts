import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import { type Mark, type Place, placeKey } from "../../src/belt-test/scorebook/cell.ts";
import { RULES } from "../../src/belt-test/scorebook/rules.ts";
import type { CandidateCase } from "../../src/belt-test/verdict/outcome.ts";
import { weighing } from "../../src/belt-test/verdict/weighing.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { aRubric } from "./a-rubric.ts";

export type Level = number | "not-seen" | null;

/** Every cell the rubric asks for. */
const placesOf = (rubric: Rubric): Place[] => weighing(rubric).cells.map(({ place }) => place);

/** Everybody's marks everywhere, as `level` says; null leaves the cell blank. */
export function marksOf(
  rubric: Rubric,
  judges: number,
  level: (place: Place, judge: number) => Level,
): Mark[] {
  return Array.from({ length: judges }, (_, one) => one + 1).flatMap((judge) =>
    placesOf(rubric).flatMap((place): Mark[] => {
      const given = level(place, judge);
      return given === null
        ? []
        : [
            {
              ...place,
              judge: `judge-${judge}` as PersonId,
              candidate: "candidate-1" as CandidateId,
              level: given,
              how: "tapped",
            },
          ];
    }),
  );
}

/** A candidate whom everybody has marked and locked: by two judges, Meets and done throughout. Say only what the test is about. */
export function aCase({
  rubric = aRubric(),
  judges = 2,
  level = (place: Place, _judge: number): Level => (place.criterion === "done" ? 2 : 3),
  ...rest
}: Partial<CandidateCaseInput> = {}): CandidateCase {
  return {
    candidate: "candidate-1" as CandidateId,
    rubric,
    rules: RULES,
    presence: "checked-in",
    marks: marksOf(rubric, judges, level),
    overalls: [],
    judges: Array.from({ length: judges }, (_, one) =>
      rubric.sections.map(({ id }) => ({
        judge: `judge-${one + 1}` as PersonId,
        section: id,
        hasLocked: true,
      })),
    ).flat(),
    revealed: rubric.sections.map(({ id }) => id),
    excused: [],
    relations: [],
    conflicts: [],
    late: [],
    settlements: [],
    ...rest,
  };
}
type CandidateCaseInput = Omit<CandidateCase, "judges"> & {
  judges: number;
  level: (place: Place, judge: number) => Level;
};

/** Names a cell in a test: "blocks/rising-block/left/chamber". */
export const at = (place: Place): string => placeKey(place);
