import type { CandidateId, ItemId, SectionId } from "../identity.ts";
import type { Item, Rubric, Section, Side } from "../rubric/rubric.ts";

/** One thing the caller calls and the judges watch. */
export interface Step {
  section: SectionId;
  /** null: the close of a section, where once-a-section criteria and the overall judgement are marked; or a whole checklist. */
  item: ItemId | null;
  /** The side called, the candidates' own. */
  side: Side | null;
  /** The side under which marks of this step are kept: null where both sides are marked together. */
  markedSide: Side | null;
  /** False on the first side of an item whose sides are marked together: judges may mark, nothing is asked yet. */
  asked: boolean;
  marking: Section["marking"];
  /** Who performs, in lane order. */
  candidates: readonly CandidateId[];
  /** Who stands, or stood, in which lane of the wave; undefined for a script of no wave. */
  lanes?: readonly CandidateId[];
  /** By which call of the wave it was called last, counted from 0; infinite before. */
  called?: number;
}

export interface ScriptInput {
  /** In lane order, absent and withdrawn candidates left out. */
  candidates: readonly { candidate: CandidateId; rubric: Rubric }[];
  /** Items this candidate does not do: too young, accommodated, excused by the chief. */
  isExcused: (candidate: CandidateId, item: ItemId) => boolean;
}

/**
 * The script of a wave, item by item, in the order of its candidates' rubrics.
 *
 * Where candidates of different ranks stand in one wave, ids that several rubrics share are called once, and only the
 * candidates whose own rubric has the item (and who are not excused) perform it. In a `single` section each candidate performs alone,
 * item after item. A checklist is one step. A step nobody performs is left out; no candidates give an empty script.
 */
export function script({ candidates, isExcused }: ScriptInput): Step[] {
  const rubrics = [...new Set(candidates.map(({ rubric }) => rubric))];
  const steps: Step[] = [];
  for (const sectionId of mergedOrder(
    rubrics.map((rubric) => rubric.sections.map(({ id }) => id)),
  )) {
    const here = candidates.flatMap(({ candidate, rubric }) => {
      const section = rubric.sections.find(({ id }) => id === sectionId);
      return section ? [{ candidate, section }] : [];
    });
    const sections = [...new Set(here.map(({ section }) => section))];
    const [first] = sections;
    if (!first) continue;
    const { marking } = first;
    if (marking === "checklist") {
      steps.push({
        section: sectionId,
        item: null,
        side: null,
        markedSide: null,
        asked: true,
        marking,
        candidates: here.map(({ candidate }) => candidate),
      });
      continue;
    }
    const order = mergedOrder(sections.map((section) => section.items.map(({ id }) => id)));
    const performing = (itemId: ItemId) =>
      here.flatMap(({ candidate, section }) => {
        const item = section.items.find(({ id }) => id === itemId);
        return item && !isExcused(candidate, itemId) ? [{ candidate, item }] : [];
      });
    if (marking === "line") {
      for (const itemId of order) {
        const who = performing(itemId);
        if (who[0])
          steps.push(
            ...sidesOf(
              who[0].item,
              sectionId,
              marking,
              who.map(({ candidate }) => candidate),
            ),
          );
      }
    } else {
      for (const { candidate, section } of here) {
        for (const itemId of order) {
          const item = section.items.find(({ id }) => id === itemId);
          if (item && !isExcused(candidate, itemId))
            steps.push(...sidesOf(item, sectionId, marking, [candidate]));
        }
      }
    }
    if (sections.some(({ onceASection, overall }) => onceASection || overall)) {
      steps.push({
        section: sectionId,
        item: null,
        side: null,
        markedSide: null,
        asked: true,
        marking,
        candidates: here.map(({ candidate }) => candidate),
      });
    }
  }
  return steps;
}

function sidesOf(
  item: Item,
  section: SectionId,
  marking: Section["marking"],
  candidates: CandidateId[],
): Step[] {
  const step = { section, item: item.id, marking, candidates };
  switch (item.sides) {
    case "one":
      return [{ ...step, side: null, markedSide: null, asked: true }];
    case "each":
      return (["left", "right"] as const).map((side) => ({
        ...step,
        side,
        markedSide: side,
        asked: true,
      }));
    case "together":
      return (["left", "right"] as const).map((side) => ({
        ...step,
        side,
        markedSide: null,
        asked: side === "right",
      }));
  }
}

/** One order that keeps the order of every list where they agree; the first list leads. */
function mergedOrder<T>(lists: readonly (readonly T[])[]): T[] {
  const merged: T[] = [];
  for (const list of lists) {
    let at = 0;
    for (const id of list) {
      const found = merged.indexOf(id);
      if (found >= 0) at = found + 1;
      else merged.splice(at++, 0, id);
    }
  }
  return merged;
}

/** Names a step, so that a call can be found in the script: the last part tells who performs in a `single` section. */
export const stepKey = (
  step: Pick<Step, "section" | "item" | "side" | "marking" | "candidates">,
): string =>
  `${step.section}/${step.item ?? ""}/${step.side ?? ""}${step.marking === "single" && step.item ? `/${step.candidates.join("+")}` : ""}`;
