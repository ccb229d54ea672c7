import type { SectionId } from "../../../belt-test/identity.ts";
import { itemOf, sectionOf } from "../../../belt-test/rubric/lookup.ts";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import type { Scorebook } from "../../../belt-test/scorebook/scorebook.ts";
import type { Step } from "../../../belt-test/script/script.ts";
import type boardWords from "../../../words/en/board.json";
import type { SayOf } from "../../../words/say.ts";

export interface CallName {
  title: string;
  side: string;
  alias: string;
}

/** What was called, as the chief reads it: the technique and its side, or the close of a section. */
export function callName(
  rubrics: readonly Rubric[],
  { section: sectionId, item: itemId, side }: Pick<Step, "section" | "item" | "side">,
  say: SayOf<typeof boardWords>,
): CallName {
  for (const rubric of rubrics) {
    const section = sectionOf(rubric, sectionId);
    if (!section) continue;
    if (itemId === null) {
      const key = section.marking === "checklist" ? "section-list" : "section-close";
      return { title: say(key, { section: section.title }), side: "", alias: "" };
    }
    const item = itemOf(section, itemId);
    if (item)
      return { title: item.title, side: side ? say(`side-${side}`) : "", alias: item.alias ?? "" };
  }
  return { title: itemId ?? sectionId, side: "", alias: "" };
}

export const callWords = ({ title, side }: CallName): string =>
  side ? `${title}, ${side}` : title;

export const sectionTitle = ({ plan }: Pick<Scorebook, "plan">, id: SectionId): string =>
  plan.rubrics.flatMap(({ sections }) => sections).find((section) => section.id === id)?.title ??
  id;
