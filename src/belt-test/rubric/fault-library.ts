import * as z from "zod/mini";
import { CriterionId, FaultId } from "../identity.ts";
import { DONE, type Item, type Section, TechniqueGroup } from "./rubric.ts";

const sentence = z.string().check(z.trim(), z.minLength(1), z.maxLength(200));

/** One fault that judges see often, and what to say about it. */
export const SeenFault = z.strictObject({
  id: FaultId,
  /** The criterion it pulls down. `etiquette` is for the items of a checklist, which have no criteria of their own. */
  criterion: CriterionId,
  groups: z.array(TechniqueGroup).check(z.minLength(1)),
  /** What the judge's key says: it has room for 16 letters. */
  chip: z.string().check(z.trim(), z.minLength(1), z.maxLength(16)),
  fault: sentence,
  cue: sentence,
  childCue: sentence,
});
export type SeenFault = z.infer<typeof SeenFault>;

/** What to say and practise for one criterion in one kind of technique, where no single fault was named. */
export const Practice = z.strictObject({
  criterion: CriterionId,
  group: TechniqueGroup,
  /** True of somebody whose mark was the top level. Absent where there is only done and not done. */
  strong: z.optional(sentence),
  childStrong: z.optional(sentence),
  cue: sentence,
  childCue: sentence,
  practice: sentence,
  childPractice: sentence,
});
export type Practice = z.infer<typeof Practice>;

export const FaultLibrary = z.strictObject({
  $schema: z.optional(z.string()),
  id: z.string().check(z.regex(/^[a-z][a-z0-9-]{0,47}$/)),
  version: z.int().check(z.gte(1)),
  title: sentence,
  about: z.optional(z.string().check(z.maxLength(2000))),
  language: z.string().check(z.regex(/^[a-z]{2,3}(-[A-Za-z0-9]{2,8})*$/)),
  faults: z.array(SeenFault).check(z.maxLength(400)),
  practice: z.array(Practice).check(z.maxLength(200)),
});
export type FaultLibrary = z.infer<typeof FaultLibrary>;

/**
 * The faults to offer a judge for one cell, likeliest first: those the item names, then the rest that fit its
 * criterion and kind of technique, in the library's order.
 *
 * @param item null for a criterion marked once a section: faults of any kind of technique in the section fit.
 * @returns none where the library has nothing for this criterion. In a checklist everything for the item's kind fits.
 */
export function faultsFor(
  library: FaultLibrary,
  section: Section,
  item: Item | null,
  criterion: CriterionId,
): SeenFault[] {
  const groups = item ? [item.group] : section.items.map(({ group }) => group);
  const named = item?.faults ?? section.items.flatMap(({ faults }) => faults);
  const fitting = library.faults.filter(
    (fault) =>
      (criterion === DONE || fault.criterion === criterion) &&
      fault.groups.some((group) => groups.includes(group)),
  );
  const isNamed = ({ id }: SeenFault) => named.includes(id);
  return [
    ...fitting.filter(isNamed).sort((a, b) => named.indexOf(a.id) - named.indexOf(b.id)),
    ...fitting.filter((fault) => !isNamed(fault)),
  ];
}

/** What the library says of a criterion in a kind of technique; undefined where it says nothing. */
export const practiceFor = (
  library: FaultLibrary,
  criterion: CriterionId,
  group: TechniqueGroup,
): Practice | undefined =>
  library.practice.find((entry) => entry.criterion === criterion && entry.group === group);
