import { nearestLines } from "../../../belt-test/verdict/nearest-lines.ts";
import type { Outcome } from "../../../belt-test/verdict/outcome.ts";
import type sureWords from "../../../words/en/sure.json";
import { halfPoints } from "../../../words/half-points.ts";
import type { SayOf } from "../../../words/say.ts";
import { sectionTitle, type Told } from "../../in-words/question-in-words.ts";
import { givenName } from "../../session/names.ts";

type SaySure = SayOf<typeof sureWords>;

/** What equally good panels would do, the side that most would take first, and how far the result is from its lines. */
export function sureInWords(told: Told, say: SaySure, outcome: Outcome): string[] {
  const { certainty, computed } = outcome;
  if (!certainty) return [];
  const share = Math.round(100 * certainty.sure);
  const given = givenName(told.notebook, told.candidate);
  // A clear result speaks of chance between panels; what is asked of these marks may turn it all the same.
  // That it is too close to call is this very sentence, not one question more.
  const turning = outcome.questions.filter(
    ({ kind, flips, isSettled }) => kind !== "doubtful" && flips && !isSettled,
  ).length;
  if (share >= 50)
    return [
      say("sure-of-100", { share, result: computed, given }),
      ...farFrom(told, say, outcome),
      ...(turning > 0 ? [say("sure-open", { count: turning })] : []),
    ];
  const { adjusted } = outcome;
  return [
    say("sure-against", { share: 100 - share, result: computed, given }),
    ...farFrom(told, say, outcome),
    ...(adjusted && adjusted.computed !== computed ? [say("sure-against-strict")] : []),
  ];
}

/** “The total is 6½ points above the pass mark. Nearest to its floor is Strikes, 7 points above it.” */
function farFrom(told: Told, say: SaySure, outcome: Outcome): string[] {
  const { total, section } = nearestLines(outcome, told.rubric.pass.mark);
  const words = (apart: number) => ({
    gap: say("points", halfPoints(apart)),
    side: apart < 0 ? "below" : "above",
  });
  const said = {
    total: total === null ? [] : [say("near-total", words(total))],
    section: section
      ? [say("near-section", { section: sectionTitle(told, section.id), ...words(section.apart) })]
      : [],
  };
  if (outcome.computed === "pass") return [...said.total, ...said.section];
  // Only a line that is not met makes a retest.
  return [
    ...(section && section.apart < 0 ? said.section : []),
    ...(total !== null && total < 0 ? said.total : []),
  ];
}
