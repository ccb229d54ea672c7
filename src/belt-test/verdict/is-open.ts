import type { Outcome } from "./outcome.ts";

/**
 * Whether every section that counts is open: before that there is no total and no result to show, even on a device that holds all marks.
 * A section all of whose items are excused has none to open.
 */
export const isOpen = ({ sections }: Pick<Outcome, "sections">): boolean =>
  sections.every(({ isRevealed, isExcused }) => isRevealed || isExcused);
