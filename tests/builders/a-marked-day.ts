import type { CandidateId } from "../../src/belt-test/identity.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import type { Place } from "../../src/belt-test/scorebook/cell.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { aPen } from "./a-pen.ts";
import { aTestDay, type TestDay } from "./a-test-day.ts";
import { anId } from "./an-id.ts";

interface Marked {
  /** Undefined leaves the cell blank. Absent: everybody is given *Meets*, and every list is done. */
  levelOf?: (
    candidate: CandidateId,
    place: Place,
    judge: PersonId,
  ) => number | "not-seen" | undefined;
  /** Who locks what; absent: everybody locks everything. */
  locks?: (judge: PersonId, section: string, candidate: CandidateId) => boolean;
  day?: TestDay;
}

const meets = (place: Place): number => (place.section === "etiquette" ? 2 : 3);

/** A whole test day with everybody checked in, called once, marked and locked. */
export function aMarkedDay({ levelOf, locks = () => true, day = aTestDay() }: Marked = {}): {
  day: TestDay;
  entries: AnyEntry[];
} {
  const { chief, candidates, judges, rubric } = day;
  const entries: AnyEntry[] = [...day.plan];
  for (const candidate of candidates) entries.push(chief.write("checked-in", { candidate }));
  const plan = fold(entries);
  const caller = aPen("caller");
  caller.hear(entries.length);
  entries.push(
    caller.write("called", {
      wave: 1,
      section: anId("blocks"),
      item: anId("rising-block"),
      side: "left",
    }),
  );
  for (const { person, pen } of judges) {
    pen.hear(entries.length);
    for (const { id: section } of rubric.sections) {
      for (const candidate of candidates) {
        for (const place of assignedPlaces(plan, person, candidate, section)) {
          const level = levelOf ? levelOf(candidate, place, person) : meets(place);
          if (level === undefined) continue;
          const { section: _, criterion, item, side } = place;
          entries.push(
            pen.write("mark", {
              section,
              item,
              side,
              cells: [{ candidate, criterion, level, how: "tapped" }],
            }),
          );
        }
      }
      // One for each child, as today's hub takes them; of what this tablet had written before it.
      for (const candidate of candidates.filter((its) => locks(person, section, its)))
        entries.push(pen.write("locked", { section, candidates: [candidate], basis: {} }));
    }
  }
  return { day, entries };
}
