import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { assignedPlaces } from "../../../src/belt-test/scorebook/assigned-places.ts";
import { placeKey } from "../../../src/belt-test/scorebook/cell.ts";
import { askedCells } from "../../../src/belt-test/scorebook/judge-view.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aPen } from "../../builders/a-pen.ts";
import { shippedRubrics } from "../../builders/shipped-rubrics.ts";

const rubrics = shippedRubrics.map(({ json }) => Rubric.parse(json));
const judge = "judge-1" as PersonId;

/** One wave in which every shipped rubric has a candidate, of whom the judge watches all, and who are excused from here and there an item. */
function aMixedWave(isExcusing: boolean): AnyEntry[] {
  const chief = aPen("chief");
  const all = rubrics.map((rubric, index) => ({
    rubric,
    candidate: `candidate-${index + 1}` as CandidateId,
  }));
  const lanes = all.map(({ candidate }) => candidate);
  const sections = new Set(rubrics.flatMap((rubric) => rubric.sections.map(({ id }) => id)));
  return [
    chief.write("opened", { title: "Mixed", date: "2026-06-06" }),
    ...rubrics.map((rubric) => chief.write("frozen", { rubric })),
    chief.write("seated", { person: judge, roles: ["judge"] }),
    ...all.map(({ rubric, candidate }, index) =>
      chief.write("entered", { candidate, number: index + 1, rubric: rubric.id }),
    ),
    chief.write("lined-up", { wave: 1, lanes }),
    ...[...sections].map((section) =>
      chief.write("assigned", { judge, section, candidates: lanes }),
    ),
    ...(isExcusing
      ? all.flatMap(({ rubric, candidate }) =>
          rubric.sections.map(({ id: section, items }) =>
            chief.write("excused", {
              candidate,
              section,
              item: items.at(-1)?.id as ItemId,
              why: "age",
            }),
          ),
        )
      : []),
    chief.write("started", {}),
  ] as AnyEntry[];
}

describe("the boards of a wave", () => {
  it.each([false, true])(
    "[S24] ask for exactly the cells without which the hub takes no lock, items excused: %s",
    (isExcusing) => {
      const book = fold(aMixedWave(isExcusing));
      const asked = new Set<string>();
      for (const step of waveScript(book, 1)) {
        if (!step.asked) continue;
        for (const { candidate, item, criterion } of askedCells(book, judge, step))
          asked.add(
            `${candidate} ${placeKey({ section: step.section, item, side: step.markedSide, criterion })}`,
          );
      }
      const wanted = book.plan.entrants.flatMap(({ candidate, rubric }) =>
        (book.plan.rubric(rubric)?.sections ?? []).flatMap(({ id }) =>
          assignedPlaces(book, judge, candidate, id as SectionId).map(
            (place) => `${candidate} ${placeKey(place)}`,
          ),
        ),
      );
      expect(wanted.length).toBeGreaterThan(200);
      expect([...asked].sort()).toEqual(wanted.sort());
    },
  );
});
