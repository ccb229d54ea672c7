import type { CriterionId, ItemId, SectionId } from "../identity.ts";
import { criteriaAt } from "./lookup.ts";
import type { Item, Rubric, Section } from "./rubric.ts";
import { type ScoringLoad, scoringLoad } from "./scoring-load.ts";

/** Seconds of a call, of one count and of the reset after a set; together 19 s for six counts: our assumption. */
const CALL_S = 4;
const COUNT_S = 2;
const RESET_S = 3;
/** Seconds from one set to the next call: our assumption. */
const GAP_S = 8;
/** An escape with a partner: common practice, no source. */
const ESCAPE_S = 20;
/** A form, first bow to last: our assumption; short forms take less, advanced ones longer. */
const FORM_S = 60;
/** More than anybody lines up before one judge. */
const MOST_CANDIDATES = 30;

export interface HeaviestStep {
  section: SectionId;
  item: ItemId;
  criteria: readonly CriterionId[];
  load: ScoringLoad;
  /** The most candidates one judge can carry here: no warning, and the entries fit into the time. 0: not even one. */
  carries: number;
}

/** Seconds a judge watches before marks of this item are asked: both sides where they are marked together. */
function watchSeconds(item: Item): number {
  if (item.group === "form") return FORM_S;
  if (item.group === "self-defence") return ESCAPE_S;
  const sides = item.sides === "together" ? 2 : 1;
  return CALL_S + sides * item.counts * COUNT_S + RESET_S;
}

/**
 * Where does this rubric ask most of a judge who watches a line of so many candidates?
 *
 * Lines are marked by exception. In a `single` section one candidate performs and every criterion is marked.
 * Checklists, and the close of a section, have no clock: the caller waits for them.
 * @param candidates in one judge's line, 1 or more.
 * @returns the step with the most entries a minute, the first of equals; null if nothing has a clock.
 * @throws RangeError if `candidates` is not a number of candidates.
 */
export function heaviestStep(rubric: Rubric, candidates: number): HeaviestStep | null {
  let heaviest: HeaviestStep | null = null;
  for (const section of rubric.sections)
    for (const item of section.items) {
      const criteria = criteriaAt(section, item);
      if (section.marking === "checklist" || criteria.length === 0) continue;
      const load = stepLoad(section, item, candidates);
      if (!heaviest || load.demandPerMinute > heaviest.load.demandPerMinute)
        heaviest = {
          section: section.id,
          item: item.id,
          criteria,
          load,
          carries: carries(section, item),
        };
    }
  return heaviest;
}

function stepLoad(section: Section, item: Item, line: number): ScoringLoad {
  const step = {
    criteria: criteriaAt(section, item).length,
    watchSeconds: watchSeconds(item),
    gapSeconds: GAP_S,
  };
  return section.marking === "single"
    ? scoringLoad({ ...step, candidates: 1, share: 1 })
    : scoringLoad({ ...step, candidates: line });
}

function carries(section: Section, item: Item): number {
  const isFine = (line: number) => {
    const { advice, fits } = stepLoad(section, item, line);
    return advice === "fine" && fits;
  };
  if (section.marking === "single") return isFine(1) ? 1 : 0;
  let line = 0;
  while (line < MOST_CANDIDATES && isFine(line + 1)) line++;
  return line;
}
