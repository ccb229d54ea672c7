import type { CandidateId } from "../../../belt-test/identity.ts";
import type { PlanGap } from "../../../belt-test/planning/plan-gaps.ts";
import type setUpWords from "../../../words/en/set-up.json";
import { listed } from "../../../words/listed.ts";
import type { SayOf } from "../../../words/say.ts";
import { givenName, personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";

type SaySetUp = SayOf<typeof setUpWords>;
/** So many names are said before the rest are counted. */
const NAMED = 4;

/** A gap in a sentence with the names this device knows. */
export function gapWords(say: SaySetUp, notebook: Notebook, gap: PlanGap): string {
  const { book } = notebook;
  const who = (candidate: CandidateId) =>
    `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();
  const all = (candidates: readonly CandidateId[]) =>
    listed(
      [
        ...candidates.slice(0, NAMED).map(who),
        ...(candidates.length > NAMED
          ? [say("and-more", { count: candidates.length - NAMED })]
          : []),
      ],
      say.locale,
    );
  switch (gap.code) {
    case "NO_RUBRIC":
    case "NO_CANDIDATE":
    case "NO_JUDGE":
    case "NO_CALLER":
    case "NO_DESK":
      return say(`gap-${gap.code}`);
    case "FEWER_JUDGES_THAN_QUORUM":
      return say("gap-FEWER_JUDGES_THAN_QUORUM", {
        rubric: book.plan.rubric(gap.rubric)?.title ?? gap.rubric,
        judges: gap.judges,
        quorum: gap.quorum,
      });
    case "RUBRIC_MISSING":
    case "WITHOUT_WAVE":
    case "IN_TWO_WAVES":
      return say(`gap-${gap.code}`, { who: all(gap.candidates), count: gap.candidates.length });
    case "SECTION_TWO_WAYS": {
      const [first] = gap.candidates;
      const rubric = first && book.plan.rubricOf(first);
      return say("gap-SECTION_TWO_WAYS", {
        wave: gap.wave,
        section: rubric?.sections.find(({ id }) => id === gap.section)?.title ?? gap.section,
        who: all(gap.candidates),
      });
    }
    case "LANE_UNWATCHED": {
      const rubric = book.plan.rubricOf(gap.candidate);
      const isWhole = gap.sections.length === rubric?.sections.length;
      const titles = gap.sections.map(
        (section) => rubric?.sections.find(({ id }) => id === section)?.title ?? section,
      );
      return say(isWhole ? "gap-LANE_UNWATCHED" : "gap-LANE_UNWATCHED-in", {
        wave: gap.wave,
        lane: gap.lane,
        who: who(gap.candidate),
        sections: listed(titles, say.locale),
      });
    }
    case "LANE_BELOW_QUORUM":
      return say("gap-LANE_BELOW_QUORUM", {
        wave: gap.wave,
        lane: gap.lane,
        who: who(gap.candidate),
        watching: gap.watching,
        quorum: gap.quorum,
      });
    case "LOAD_HEAVY":
    case "LOAD_TOO_HEAVY":
      return say(`gap-${gap.code}`, {
        judge: personName(notebook, gap.judge) ?? say("somebody"),
        wave: gap.wave,
        lanes: gap.lanes,
        carries: gap.carries,
      });
  }
}
