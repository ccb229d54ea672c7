import type { AskedPanel } from "./asked.ts";
import { flatJudges, withoutJudges } from "./flat-judges.ts";
import { passChances } from "./pass-chances.ts";

export interface JudgedChances {
  /** Judges (places) who gave everybody the same mark. */
  flat: readonly number[];
  /** By candidate: chance to pass before the judges who looked; null where nobody saw some part. */
  chances: readonly (number | null)[];
  /** The same with the flat judges' marks believed; null where there is no such judge. */
  withFlat: readonly (number | null)[] | null;
}

/**
 * How likely each candidate would pass before a panel without noise, judges who gave everybody the same mark left out, and with them.
 *
 * The verdict counts those judges' marks, whatever is said here; a candidate whom nobody else saw is reckoned with them.
 * @param panel as in `passChances`.
 */
export function judgedChances(panel: AskedPanel): JudgedChances {
  const flat = flatJudges(panel.marks);
  const all = passChances(panel);
  if (flat.length === 0) return { flat, chances: all, withFlat: null };
  const left = passChances({
    ...panel,
    marks: withoutJudges(panel.marks, flat),
    ...(panel.known ? { known: panel.known.filter((_, j) => !flat.includes(j)) } : {}),
  });
  return { flat, chances: left.map((chance, who) => chance ?? all[who] ?? null), withFlat: all };
}
