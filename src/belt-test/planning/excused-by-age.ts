import type { ItemId, SectionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";

/**
 * The items a candidate is too young for on the day, by birth year alone.
 *
 * Only the year is kept, so the younger of the two possible ages counts: born 2014 and tested in 2026 is taken as 11.
 * Some schools gate by another rule; the chief may excuse an item, never the other way round without entering the year anew.
 * @param birthYear undefined excuses from every age-gated item: caution where nothing is known.
 * @param date ISO day of the test.
 *
 * Common practice, no source: neck and joint locks and throws wait until an age that the school sets.
 */
export function agesOut(
  rubric: Rubric,
  birthYear: number | undefined,
  date: string,
): { section: SectionId; item: ItemId }[] {
  const age = birthYear === undefined ? 0 : Number(date.slice(0, 4)) - birthYear - 1;
  return rubric.sections.flatMap((section) =>
    section.items
      .filter(({ minimumAge }) => minimumAge !== undefined && age < minimumAge)
      .map((item) => ({ section: section.id, item: item.id })),
  );
}
