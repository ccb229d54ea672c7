import type { CandidateId } from "../../src/belt-test/identity.ts";
import { criteriaAt, markedSides } from "../../src/belt-test/rubric/lookup.ts";
import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import type { Mark, Place } from "../../src/belt-test/scorebook/cell.ts";
import type { PersonId } from "../../src/book/identity.ts";

/** A mark in every place of a rubric by every judge, as `levelOf` says; undefined leaves the place blank. */
export function allMarks(
  rubric: Rubric,
  levelOf: (place: Place, judge: number) => number | "not-seen" | undefined,
  { judges = 3, how = "tapped" as Mark["how"] } = {},
): Mark[] {
  const places = rubric.sections.flatMap((section) =>
    [...section.items, null].flatMap((item) =>
      markedSides(item).flatMap((side) =>
        criteriaAt(section, item).map((criterion) => ({
          section: section.id,
          item: item?.id ?? null,
          side,
          criterion,
        })),
      ),
    ),
  );
  return Array.from({ length: judges }, (_, at) => at + 1).flatMap((judge) =>
    places.flatMap((place) => {
      const level = levelOf(place, judge);
      return level === undefined
        ? []
        : [
            {
              ...place,
              judge: `judge-${judge}` as PersonId,
              candidate: "candidate-1" as CandidateId,
              level,
              how,
            },
          ];
    }),
  );
}
