import type { CandidateId } from "../../belt-test/identity.ts";
import type { Role } from "../../belt-test/kinds/body-parts.ts";

export interface TestPage {
  /** Below the belt test's own address. */
  path: string;
  /** Whose page it is: everybody else is sent to their own. */
  of: readonly Role[];
}

/** Every page of a belt test, in the order of the ways around. */
export const testPages = {
  board: { path: "chief", of: ["chief"] },
  panel: { path: "chief/panel", of: ["chief"] },
  sheets: { path: "sheets", of: ["chief"] },
  door: { path: "chief/door", of: ["chief"] },
  "set-up": { path: "set-up", of: ["chief"] },
  kept: { path: "chief/kept", of: ["chief"] },
  desk: { path: "desk", of: ["desk", "chief"] },
  caller: { path: "caller", of: ["caller", "chief"] },
  judge: { path: "judge", of: ["judge"] },
  own: { path: "own", of: ["judge"] },
  // Led to by other pages, not by the ways around.
  items: { path: "chief/items", of: ["chief"] },
  anchors: { path: "chief/anchors", of: ["chief"] },
  candidate: { path: "chief/candidates/:candidate", of: ["chief"] },
} as const satisfies Record<string, TestPage>;
export type PageName = keyof typeof testPages;

/** A belt test's own address leads everybody to their first page. */
export const testAddress = (grading: string): string => `/tests/${grading}`;
export const pageAddress = (grading: string, page: Exclude<PageName, "candidate">): string =>
  `${testAddress(grading)}/${testPages[page].path}`;
export const candidateAddress = (grading: string, candidate: CandidateId): string =>
  `${testAddress(grading)}/${testPages.candidate.path.replace(":candidate", candidate)}`;
