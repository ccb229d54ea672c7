import { Pen } from "../belt-test/scorebook/pen.ts";
import { fold } from "../belt-test/scorebook/scorebook.ts";
import { type ScorebookFile, scorebookFile } from "../belt-test/scorebook/scorebook-file.ts";
import type { DeviceId, EntryId, GradingId, PersonId } from "../book/identity.ts";
import type { demoFiles } from "./demo-files.ts";
import { planned } from "./planned.ts";
import { play } from "./played.ts";

const GRADING = "heron-bridge-example" as GradingId;

/** The invented test played to its end: every mark given and locked, no verdict issued yet. The same files give the same bytes. */
export function finishedTest({
  scenario,
  rubrics,
  library,
}: ReturnType<typeof demoFiles>): ScorebookFile {
  const startMs = Date.parse(`${scenario.date}T10:00:00Z`);
  let made = 0;
  // Ids of version 7 (RFC 9562) with the day's time and a running number instead of chance.
  const makeId = () => {
    made++;
    const time = (startMs + made * 1000).toString(16).padStart(12, "0");
    return `${time.slice(0, 8)}-${time.slice(8)}-7000-8000-${made.toString(16).padStart(12, "0")}` as EntryId;
  };
  const pens = new Map<string, Pen>();
  const penOf = (person: string): Pen => {
    const pen =
      pens.get(person) ??
      new Pen({
        grading: GRADING,
        person: person as PersonId,
        device: `${person}-tablet` as DeviceId,
        makeId,
        nowMs: () => startMs + made * 1000,
      });
    pens.set(person, pen);
    return pen;
  };
  const { entries, sides } = planned(
    scenario,
    rubrics,
    GRADING,
    penOf(scenario.chief.id),
    undefined,
    library,
  );
  const played = play(
    { scenario, library, book: fold(entries) },
    { caller: penOf(scenario.caller.id), judgeOf: penOf },
  );
  return scorebookFile(GRADING, [...entries, ...played], sides);
}
