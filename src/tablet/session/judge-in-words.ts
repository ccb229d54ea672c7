import type { Rubric } from "../../core/rubric/rubric.ts";
import type { JudgeReport } from "../../core/verdict/judge-report.ts";
import type { OddEffect } from "../../core/verdict/odd-effects.ts";
import type { panelWords } from "../../words/panel-words.ts";
import type { Say } from "../../words/say.ts";

/** One judge in one plain sentence. */
export const judgeSentence = (
  say: Say<keyof (typeof panelWords)["english"]>,
  { standing, severity, sameShare }: Pick<JudgeReport, "standing" | "severity" | "sameShare">,
): string =>
  say(`judge-${standing}`, {
    size: Math.abs(severity?.value ?? 0),
    share: sameShare,
    lean: leanOf(severity),
  });

/** Which way a judge leans whose bar does not touch the line, though not far enough for a word of its own; the bar is that of severity-dot.tsx. */
function leanOf(severity: JudgeReport["severity"]): "lower" | "higher" | "none" {
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

/** The first rubric's word for a criterion. */
export const criterionWord =
  (rubrics: readonly Rubric[]) =>
  (id: string): string =>
    rubrics
      .flatMap(({ criteria }) => criteria)
      .find((criterion) => criterion.id === id)
      ?.title.toLocaleLowerCase() ?? id;

/** How many levels from the line to either edge: the same for every judge, so that dots can be compared; half a level at least. */
export function reachOf(judges: readonly Pick<JudgeReport, "severity" | "drift">[]): number {
  const far = judges.flatMap(({ severity, drift }) => [
    severity ? Math.abs(severity.value) + 2 * severity.se : 0,
    ...drift.map(({ apart }) => Math.abs(apart)),
  ]);
  return Math.ceil(4 * Math.max(0.5, ...far)) / 4;
}
