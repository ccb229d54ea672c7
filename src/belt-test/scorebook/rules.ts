/**
 * The rules by which a book is read: 1, books from before 2026-11-28 (they say nothing); 2, those of 2026-11-28; 3, those opened since:
 * what 2 says, and every id vouches for where it stands (vouched-id.ts).
 * A test is reckoned by its own rules for ever, so that an issued sheet never disagrees with a later reading of its book.
 */
export type Rules = 1 | 2 | 3;

/** The rules that a test opened today is read by; a spreadsheet's marks too, which have no book. */
export const RULES: Rules = 3;

/** The rules that a book says; those of a later year are read by the newest known here. Absent is 1. */
export const rulesOf = (said: number | undefined): Rules => Math.min(said ?? 1, RULES) as Rules;
