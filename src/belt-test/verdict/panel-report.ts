import type { PersonId } from "../../book/identity.ts";
import { type Intraclass, intraclass } from "../../ratings/agreement/intraclass.ts";
import { type Alpha, krippendorff } from "../../ratings/agreement/krippendorff.ts";
import { isUnsupported, type Reason } from "../../ratings/agreement/panel-table.ts";
import { sameMarks } from "../../ratings/agreement/same-marks.ts";
import type { Stroke } from "../../ratings/effects/pace.ts";
import type { CandidateId } from "../identity.ts";
import { placeKey } from "../scorebook/cell.ts";
import { type JudgeReport, judgeReports } from "./judge-report.ts";
import type { OddEffect } from "./odd-effects.ts";
import type { MarkedCandidate } from "./panel-marks.ts";
import type { PanelSeverity } from "./panel-severity.ts";

/** What a chief examiner can do next, the most urgent first; empty where nothing is to be done. */
export type NextStep =
  | { kind: "flat"; judge: PersonId }
  | { kind: "severe" | "lenient"; judge: PersonId }
  | { kind: "odd"; judge: PersonId; effect: OddEffect }
  | { kind: "link"; judge: PersonId; candidate: CandidateId }
  /** Marked many techniques far faster than the others: a question to ask, no alarm. */
  | { kind: "hasty"; judge: PersonId }
  /** Too few pairs of marks are within a level of each other. */
  | { kind: "talk" };

interface PanelAgreement {
  /** Performances (a candidate, an item on a side, a criterion) that at least two judges marked. */
  shared: number;
  /** Shares of all pairs of marks of one performance, 0–1. */
  exact: number;
  adjacent: number;
  /** null with the reason where the marks support none. */
  alpha: Alpha | { reason: Reason };
  icc: Intraclass["forms"] | { reason: Reason };
}

export interface PanelReport {
  judges: readonly JudgeReport[];
  agreement: PanelAgreement | { reason: "too-few"; shared: number; needed: number };
  /** Who marked whom, in the order the candidates were given. */
  seen: readonly { candidate: CandidateId; judges: readonly PersonId[] }[];
  /** Judges who can be compared, together; one group where the panel hangs together. */
  groups: readonly (readonly PersonId[])[];
  nextSteps: readonly NextStep[];
}

/** Below this many shared performances an agreement says more of chance than of the panel; ours. */
const ENOUGH_SHARED = 20;
/** Share of pairs within one level that panels are asked to reach: common practice, no source. */
export const ADJACENT_GOAL = 0.9;

/**
 * How a panel worked together: each judge in a word, how far they agree, whether they can be compared at all, and what to do next.
 *
 * @param given marks at lock of sections that are open. @param panel severities of the same marks. @param waveOf when each candidate stood on the floor. @param isOwn @param strokes as in `judgeReports`.
 * @returns no agreement below 20 performances marked by two judges: then it would say more of chance than of the panel.
 *
 * Agreement does not know of chance by itself: where nearly all marks are *Meets* the shares are high whatever judges do; alpha and ICC know it.
 */
export function panelReport(
  given: readonly MarkedCandidate[],
  panel: PanelSeverity,
  waveOf: (candidate: CandidateId) => number,
  isOwn: (judge: PersonId, candidate: CandidateId) => boolean = () => false,
  strokes?: ReadonlyMap<PersonId, readonly Stroke[]>,
): PanelReport {
  const judges = judgeReports(given, panel, waveOf, isOwn, strokes);
  const agreement = agreementOf(given, panel.judges);
  const groups = [...new Set(panel.scores.groups)].map((group) =>
    panel.judges.filter((_, place) => panel.scores.groups[place] === group),
  );
  return {
    judges,
    agreement,
    seen: given.map(({ candidate, marks }) => ({
      candidate,
      judges: [...new Set(marks.map(({ judge }) => judge))].sort(),
    })),
    groups,
    nextSteps: [
      ...stepsOf(judges, "flat"),
      ...panel.links.map((link) => ({ kind: "link" as const, ...link })),
      ...judges.flatMap(({ judge, odd, standing }) =>
        standing === "flat" ? [] : odd.map((effect) => ({ kind: "odd" as const, judge, effect })),
      ),
      ...stepsOf(judges, "severe"),
      ...stepsOf(judges, "lenient"),
      ...judges.flatMap(({ judge, pace }) =>
        "isHasty" in pace && pace.isHasty ? [{ kind: "hasty" as const, judge }] : [],
      ),
      ...("adjacent" in agreement && agreement.adjacent < ADJACENT_GOAL
        ? [{ kind: "talk" as const }]
        : []),
    ],
  };
}

/** First those who differ by more than judges commonly do. */
const stepsOf = <Kind extends "flat" | "severe" | "lenient">(
  judges: readonly JudgeReport[],
  kind: Kind,
) =>
  judges
    .filter(({ standing }) => standing === kind)
    .sort((a, b) => unusual(b) - unusual(a))
    .map(({ judge }) => ({ kind, judge }));

const unusual = ({ severity }: JudgeReport): number => Number(severity?.isBeyondCommon ?? false);

function agreementOf(
  given: readonly MarkedCandidate[],
  judges: readonly PersonId[],
): PanelReport["agreement"] {
  const placeOf = new Map(judges.map((judge, place) => [judge, place]));
  const rows = new Map<string, (number | null)[]>();
  for (const { candidate, marks } of given)
    for (const mark of marks) {
      const place = placeOf.get(mark.judge);
      if (place === undefined || mark.level === "not-seen") continue;
      const key = `${candidate}/${placeKey(mark)}`;
      let row = rows.get(key);
      if (!row) rows.set(key, (row = judges.map(() => null)));
      row[place] = mark.level;
    }
  const table = [...rows.values()].filter(
    (row) => row.filter((level) => level !== null).length > 1,
  );
  const same = sameMarks(table);
  if (isUnsupported(same) || table.length < ENOUGH_SHARED)
    return { reason: "too-few", shared: table.length, needed: ENOUGH_SHARED };
  const icc = intraclass(table);
  return {
    shared: table.length,
    exact: same.exact,
    adjacent: same.adjacent,
    alpha: krippendorff(table, "ordinal"),
    icc: isUnsupported(icc) ? icc : icc.forms,
  };
}
