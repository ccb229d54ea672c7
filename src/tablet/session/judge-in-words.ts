import type { JudgeReport } from "../../core/verdict/judge-report.ts";
import type { panelWords } from "../../words/panel-words.ts";
import type { Say } from "../../words/say.ts";

/** One judge in one plain sentence. */
export const judgeSentence = (
  say: Say<keyof (typeof panelWords)["english"]>,
  { standing, severity, sameShare }: Pick<JudgeReport, "standing" | "severity" | "sameShare">,
): string => say(`judge-${standing}`, { size: Math.abs(severity?.value ?? 0), share: sameShare });

/** How many levels from the line to either edge: the same for every judge, so that dots can be compared; half a level at least. */
export function reachOf(judges: readonly Pick<JudgeReport, "severity" | "drift">[]): number {
  const far = judges.flatMap(({ severity, drift }) => [
    severity ? Math.abs(severity.value) + 2 * severity.se : 0,
    ...drift.map(({ apart }) => Math.abs(apart)),
  ]);
  return Math.ceil(4 * Math.max(0.5, ...far)) / 4;
}
