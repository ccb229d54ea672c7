import { listOf } from "../../book/keyed.ts";
import type { CandidateId, ItemId, SectionId } from "../identity.ts";
import type { Item, Rubric, Section, Side } from "../rubric/rubric.ts";

/** How the marks of a child are kept at a call. */
interface Way {
  /** The side under which they are kept: null where both sides are marked together. */
  markedSide: Side | null;
  /** False on the first side of an item whose sides are marked together: judges may mark, nothing is asked yet. */
  asked: boolean;
  marking: Section["marking"];
}

/** One thing the caller calls and the judges watch. Where its children are marked in several ways, what it says of one is not so of all: ask `markedAlike`. */
export interface Step extends Way {
  section: SectionId;
  /** null: the close of a section, where once-a-section criteria and the overall judgement are marked; or a whole checklist. */
  item: ItemId | null;
  /** The side called, the candidates' own. */
  side: Side | null;
  /** Who performs, in lane order. */
  candidates: readonly CandidateId[];
  /** Of each child, where they are not marked alike. */
  ways?: ReadonlyMap<CandidateId, Way>;
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
 * candidates whose own rubric has the item (and who are not excused) perform it; left and right are called where anybody's rubric says so.
 * In a `single` section each candidate performs alone, item after item. A checklist is one step. A step nobody performs is left out; no
 * candidates give an empty script. Of a section that is marked in several ways first the line performs, then whoever performs alone; the list comes
 * with what closes the section.
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
    const order = mergedOrder(
      [...new Set(here.map(({ section }) => section))].map(({ items }) =>
        items.map(({ id }) => id),
      ),
    );
    const callsFor = (whom: typeof here, marking: Section["marking"]) => {
      for (const itemId of order) {
        const who = whom.flatMap(({ candidate, section }) => {
          const item = section.items.find(({ id }) => id === itemId);
          return item && !isExcused(candidate, itemId) ? [{ candidate, item }] : [];
        });
        if (who.length === 0) continue;
        const sides = who.some(({ item }) => item.sides !== "one") ? SIDES : [null];
        for (const side of sides)
          steps.push(
            stepOf(
              { section: sectionId, item: itemId, side },
              who.map(({ candidate, item }) => [candidate, { ...keptAt(item, side), marking }]),
            ),
          );
      }
    };
    const markedAs = (marking: Section["marking"]) =>
      here.filter(({ section }) => section.marking === marking);
    callsFor(markedAs("line"), "line");
    for (const one of markedAs("single")) callsFor([one], "single");
    const isClosed = here.some(
      ({ section: { marking, onceASection, overall } }) =>
        marking !== "checklist" && (onceASection || overall),
    );
    const closing = here.filter(({ section: { marking } }) => marking === "checklist" || isClosed);
    const performed = closing.find(({ section: { marking } }) => marking !== "checklist");
    if (closing.length > 0)
      steps.push(
        stepOf(
          { section: sectionId, item: null, side: null },
          closing.map(({ candidate, section: { marking } }) => [
            candidate,
            {
              markedSide: null,
              asked: true,
              marking: marking === "checklist" ? marking : (performed?.section.marking ?? marking),
            },
          ]),
        ),
      );
  }
  return steps;
}

const SIDES: readonly Side[] = ["left", "right"];

/** At which call of an item its marks are asked for, and under which side they are kept: as the child's own rubric says, whatever is called for others. */
const keptAt = ({ sides }: Item, side: Side | null): Omit<Way, "marking"> =>
  sides === "each"
    ? { markedSide: side, asked: true }
    : { markedSide: null, asked: side !== "left" };

function stepOf(call: Pick<Step, "section" | "item" | "side">, who: [CandidateId, Way][]): Step {
  const candidates = who.map(([candidate]) => candidate);
  const ways = who.map(([, way]) => way);
  const [first, ...others] = ways as [Way, ...Way[]];
  if (others.every((way) => wayKey(way) === wayKey(first)))
    return { ...call, ...first, candidates };
  // One list among them is read out to those who have it.
  const { marking } = ways.find((way) => way.marking === "checklist") ?? first;
  const asked = ways.some((way) => way.asked);
  return { ...call, markedSide: call.side, asked, marking, candidates, ways: new Map(who) };
}

const wayKey = ({ markedSide, asked, marking }: Way): string => `${markedSide} ${asked} ${marking}`;

/** A step apart by how its children are marked: what each of these says is so of all its children. */
export function markedAlike(step: Step): Step[] {
  const { ways, ...whole } = step;
  if (!ways) return [step];
  const apart = new Map<string, CandidateId[]>();
  const wayOf = (candidate: CandidateId) => ways.get(candidate) ?? whole;
  for (const one of step.candidates) listOf(apart, wayKey(wayOf(one))).push(one);
  return [...apart.values()].map((candidates) => ({
    ...whole,
    ...wayOf(candidates[0] as CandidateId),
    candidates,
  }));
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
