import type { PersonId } from "../../book/identity.ts";
import type { SectionId } from "../identity.ts";
import { type Place, placeKey } from "../scorebook/cell.ts";
import { lateQuestion } from "../scorebook/marks.ts";
import type { Settlement } from "./outcome.ts";

/**
 * The names of questions. A name says what is asked of whom, never what the marks are, so that it stays the same on every tablet
 * and when a mark changes: once settled, a question stays settled until the chief settles it otherwise.
 */
export const questionKeys = {
  levelGap: (place: Place): string => `level-gap/${placeKey(place)}`,
  listSplit: (section: SectionId): string => `list-split/${section}`,
  overallSplit: (section: SectionId): string => `overall-split/${section}`,
  overallMismatch: (section: SectionId): string => `overall-mismatch/${section}`,
  borderline: (): string => "borderline",
  loneDissent: (judge: PersonId, section: SectionId): string => `lone-dissent/${judge}/${section}`,
  noQuorum: (section: SectionId): string => `no-quorum/${section}`,
  unseen: (section: SectionId): string => `unseen/${section}`,
  blank: (judge: PersonId, section: SectionId): string => `blank/${judge}/${section}`,
  relation: (judge: PersonId): string => `relation/${judge}`,
  conflict: (judge: PersonId, place: Place): string => `conflict/${judge}/${placeKey(place)}`,
  late: lateQuestion,
  severity: (): string => "severity",
  doubtful: (): string => "doubtful",
} as const;

/**
 * Whether the chief has struck this mark from the verdict. Striking reaches as far as its question: one cell for a level gap or a conflict,
 * the section for what is asked of a section, everything of that judge on this candidate for a relation; a borderline total strikes nothing.
 */
export function isStruck(
  mark: Place & { judge: PersonId },
  settlements: readonly Settlement[],
): boolean {
  return settlements.some(
    ({ decision, judge, question }) =>
      decision === "struck" && judge === mark.judge && reaches(question, mark),
  );
}

function reaches(question: string, mark: Place & { judge: PersonId }): boolean {
  switch (question) {
    case questionKeys.relation(mark.judge):
    case questionKeys.levelGap(mark):
    case questionKeys.conflict(mark.judge, mark):
    case questionKeys.listSplit(mark.section):
    case questionKeys.overallSplit(mark.section):
    case questionKeys.overallMismatch(mark.section):
    case questionKeys.loneDissent(mark.judge, mark.section):
    case questionKeys.noQuorum(mark.section):
    case questionKeys.blank(mark.judge, mark.section):
    case questionKeys.late(mark.judge, mark.section):
      return true;
    default:
      return false;
  }
}
