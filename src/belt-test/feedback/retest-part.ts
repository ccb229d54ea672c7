import type { SectionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { daysAfter, monthsAfter } from "./calendar.ts";
import { nextLines } from "./choices.ts";
import type { Line, LineContext } from "./line.ts";

/** What somebody who is to come again needs to know. Dates are ISO dates, for the words to write out. */
export interface RetestPart {
  scope: Rubric["retest"]["scope"];
  kept: readonly { id: SectionId; title: string }[];
  repeat: readonly {
    id: SectionId;
    title: string;
    /** What to practise for it; null where nothing was seen of it that could be practised. */
    practise: Line | null;
  }[];
  /** The first day on which a retest may be taken. */
  from: string;
  /** The last day on which kept sections still count; null where nothing is kept. */
  keptUntil: string | null;
}

/**
 * What is kept, what is shown again, from when, and what to practise for it.
 * @param repeat  the sections to show again. With scope `whole` that is every section, whatever is said here.
 * @param gradedOn  ISO date of the test.
 * @param counted  the sections that count for this candidate; one that was excused whole is neither kept nor repeated.
 */
export function retestPart(
  context: LineContext,
  repeat: readonly SectionId[],
  gradedOn: string,
  counted: readonly SectionId[],
): RetestPart {
  const { rubric, all } = context;
  const { scope, waitDays, keptMonths } = rubric.retest;
  const isRepeated = (id: SectionId) => scope === "whole" || repeat.includes(id);
  const sections = rubric.sections.filter(({ id }) => counted.includes(id));
  const kept = sections.filter(({ id }) => !isRepeated(id));
  return {
    scope,
    kept: kept.map(({ id, title }) => ({ id, title })),
    repeat: sections
      .filter(({ id }) => isRepeated(id))
      .map(({ id, title }) => {
        const here = all.filter(({ section }) => section.id === id);
        return { id, title, practise: nextLines({ ...context, all: here })[0]?.line ?? null };
      }),
    from: daysAfter(gradedOn, waitDays),
    keptUntil: kept.length > 0 ? monthsAfter(gradedOn, keptMonths) : null,
  };
}
