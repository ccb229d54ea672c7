import type { Coverage, DoneCall } from "./protocol.ts";

/** One judge's work on one child's section. */
export const coverageKey = ({
  judge,
  candidate,
  section,
}: Pick<Coverage, "judge" | "candidate" | "section">): string => `${judge}/${candidate}/${section}`;

/** One judge's call, done or not. */
export const callKey = ({
  judge,
  wave,
  section,
  item,
  side,
  alone,
}: Omit<DoneCall, "done">): string => JSON.stringify([judge, wave, section, item, side, alone]);
