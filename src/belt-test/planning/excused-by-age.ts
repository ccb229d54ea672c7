import type { CandidateId, ItemId, SectionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import type { EntryBody } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

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

type Excuse = EntryBody<"excused">;

/** What somebody's device knows of a child beside the book, and of the floor. */
interface KnownHere {
  /** Undefined where nothing is known of the child here: it was not sent, or is erased. */
  details: { birthYear?: number | undefined } | undefined;
  /** Whether an excuse, or the end of one, was for age. */
  isForAge: (said: Excuse) => boolean;
  /** Whether somebody has begun with this item, as far as is known here. */
  isBegun: (section: SectionId, item: ItemId) => boolean;
}

/**
 * What is still to be said of one child and age: whoever is too young by the year, rubric and day that stand now is excused, and whoever is not
 * is asked after all. Anything else that was said of an item, by whoever may, stands; and so does what somebody has begun with.
 *
 * @returns bodies without a reason; none where nothing is known of the child, or the day is over for it.
 */
export function dueByAge(book: Scorebook, candidate: CandidateId, known: KnownHere): Excuse[] {
  const { plan } = book;
  const rubric = plan.rubricOf(candidate);
  const { details, isForAge, isBegun } = known;
  if (!details || !rubric || !plan.opened || plan.isClosed || book.decisions.verdict(candidate))
    return [];
  const young = new Set(
    agesOut(rubric, details.birthYear, plan.opened.date).map(({ item }) => item),
  );
  return rubric.sections.flatMap(({ id: section, items }) =>
    items.flatMap(({ id: item }) => {
      const said = plan.excuseSaid(candidate, item);
      const isExcused = said !== undefined && !said.lifted;
      if (young.has(item) === isExcused || (said && !isForAge(said))) return [];
      if (isBegun(section, item)) return [];
      return [{ candidate, section, item, ...(isExcused ? { lifted: true as const } : {}) }];
    }),
  );
}
