import type { SectionId } from "../../belt-test/identity.ts";
import { calledIndex, waveScript } from "../../belt-test/planning/wave-script.ts";
import type { PersonId } from "../../book/identity.ts";
import { stepJudges } from "./board-coverage.ts";
import type { Notebook } from "./notebook.ts";

/** Calls of one section of a wave that a judge is not done with. */
export interface BehindIn {
  wave: number;
  section: SectionId;
  calls: number;
}

/** Who is not done with calls of other waves than the one that is on the floor and the one that is looked at; in the order of waves and their scripts. */
export function behindEarlier(
  notebook: Notebook,
  shown: number | undefined,
): ReadonlyMap<PersonId, readonly BehindIn[]> {
  const { book } = notebook;
  const found = new Map<PersonId, BehindIn[]>();
  const onFloor = book.floor.currentCall?.body.wave;
  for (const { wave } of book.plan.waves) {
    if (wave === shown || wave === onFloor) continue;
    const steps = waveScript(book, wave);
    for (const step of steps.slice(0, calledIndex(book, wave, steps) + 1))
      for (const judge of stepJudges(notebook, wave, step).behind) {
        const theirs = found.get(judge) ?? [];
        found.set(judge, theirs);
        const known = theirs.find((one) => one.wave === wave && one.section === step.section);
        if (known) known.calls++;
        else theirs.push({ wave, section: step.section, calls: 1 });
      }
  }
  return found;
}
