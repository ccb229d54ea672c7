import type { Rubric } from "../../belt-test/rubric/rubric.ts";
import type { JudgeReport, JudgeSeverity } from "../../belt-test/verdict/judge-report.ts";
import type { OddEffect } from "../../belt-test/verdict/odd-effects.ts";
import { ENOUGH_CANDIDATES } from "../../ratings/effects/judge-effects.ts";
import { type Pace, QUICK_SECONDS } from "../../ratings/effects/pace.ts";
import type panelWords from "../../words/en/panel.json";
import type { Say, SayOf } from "../../words/say.ts";

/** Of a judge's report, or of the page given to the judge, perhaps by an earlier version that knew less. */
interface Judged {
  standing: JudgeReport["standing"];
  sameShare: number;
  severity:
    | (Dot & { [Key in "against" | "isBeyondCommon"]?: JudgeSeverity[Key] | undefined })
    | null;
  shared?: number | undefined;
}
interface Dot {
  value: number;
  se: number;
}

/** One judge in one plain sentence. */
export const judgeSentence = (say: SayOf<typeof panelWords>, judged: Judged): string =>
  say(`judge-${judged.standing}`, sentenceValues(judged));

/** What a sentence about a judge is filled with: how much, against whom, and whether it is more than judges commonly differ. */
export const sentenceValues = ({ severity, sameShare, shared }: Judged) => ({
  size: Math.abs(severity?.value ?? 0),
  share: sameShare,
  lean: leanOf(severity),
  against: severity?.against ?? "others",
  common: commonOf(severity),
  shared: shared ?? 0,
  needed: ENOUGH_CANDIDATES,
  why: shared === undefined ? "unknown" : shared < ENOUGH_CANDIDATES ? "few" : "apart",
});

/** Against a standard the whole panel may lie off; of that the alarm, which compares judges, says nothing where it is silent. */
function commonOf(severity: Judged["severity"]): "beyond" | "within" | "unknown" {
  if (severity?.isBeyondCommon) return "beyond";
  return severity?.isBeyondCommon === false && severity.against !== "standard"
    ? "within"
    : "unknown";
}

/** Which way a judge leans whose bar does not touch the line, though not far enough for a word of its own; the bar is that of severity-dot.tsx. */
function leanOf(severity: Judged["severity"]): "lower" | "higher" | "none" {
  if (!severity || Math.abs(severity.value) <= 1.96 * severity.se) return "none";
  return severity.value > 0 ? "lower" : "higher";
}

type OddKey = `odd-${OddEffect["name"]}`;

/** What else is odd about a judge, a sentence each; `criterionOf` names a criterion in lower case. */
export const oddSentences = (
  say: Say<OddKey>,
  odd: readonly OddEffect[],
  criterionOf: (id: string) => string,
): string[] =>
  odd.map(({ name, value, criterion }) =>
    say(`odd-${name}`, {
      size: Math.abs(value),
      side: value < 0 ? "minus" : "plus",
      criterion: criterion ? criterionOf(criterion) : "",
    }),
  );

/** What a sentence about speed is filled with. */
export const paceValues = ({
  places,
  medianSeconds,
  quickShare,
  isHasty,
}: Pace & { isHasty: boolean }) => ({
  hasty: String(isHasty),
  places,
  quick: Math.round(quickShare * places),
  seconds: Math.round(medianSeconds),
  limit: QUICK_SECONDS,
});

/** The first rubric's word for a criterion. */
export const criterionWord =
  (rubrics: readonly Rubric[], locale: string) =>
  (id: string): string =>
    rubrics
      .flatMap(({ criteria }) => criteria)
      .find((criterion) => criterion.id === id)
      ?.title.toLocaleLowerCase(locale) ?? id;

/** How many levels from the line to either edge: the same for every judge, so that dots can be compared; half a level at least. */
export function reachOf(
  judges: readonly { severity: Dot | null; drift: readonly { apart: number }[] }[],
): number {
  const far = judges.flatMap(({ severity, drift }) => [
    severity ? Math.abs(severity.value) + 2 * severity.se : 0,
    ...drift.map(({ apart }) => Math.abs(apart)),
  ]);
  return Math.ceil(4 * Math.max(0.5, ...far)) / 4;
}
