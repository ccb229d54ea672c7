import type { PersonId } from "../../book/identity.ts";
import { LEVEL_PARTS } from "../../ratings/panel-mark.ts";
import { toNumber } from "../exact/rational.ts";
import type { CandidateId, ItemId, RubricId, SectionId } from "../identity.ts";
import type { Rubric } from "../rubric/rubric.ts";
import { placeKey } from "../scorebook/cell.ts";
import type { Outcome } from "../verdict/outcome.ts";
import { pointsAt, weighing as weighingOf } from "../verdict/weighing.ts";
import { type Borderline, borderline } from "./borderline.ts";
import { straightLine } from "./straight-line.ts";

/** One candidate's panel marks and what the judges said of whole sections. */
export interface ItemCase {
  candidate: CandidateId;
  rubric: Rubric;
  outcome: Pick<Outcome, "panelMarks" | "sections" | "score">;
  overalls: readonly { judge: PersonId; section: SectionId; judgement: number }[];
}

export interface ItemFigures {
  section: SectionId;
  /** null: what is marked once a section. */
  item: ItemId | null;
  /** Candidates of whom the panel saw it. */
  candidates: number;
  /** Mean of what was reached, in percent: low is hard. */
  reached: number;
  /** Share of candidates below *Meets*, 0–1. */
  missed: number;
  /** Correlation with the rest of the test, -1 to 1; null with the reason. */
  discrimination: number | null;
  reason?: "nothing-else" | "too-few" | "all-equal";
}

export interface RubricReport {
  rubric: RubricId;
  candidates: number;
  items: readonly ItemFigures[];
  /** Items that most of the class missed, hardest first: what to teach next. */
  missed: readonly ItemFigures[];
  /** Where the judges' words put floors, section by section, and the pass mark (section null). */
  passMarks: readonly ({ section: SectionId | null; now: number } & Borderline)[];
}

/** A class of fewer says little of a technique: ours. */
export const ENOUGH_CLASS = 4;
/** “The whole class”: this share of it. Ours. */
const MOST = 0.75;
/** A correlation of fewer candidates is chance. Ours. */
const ENOUGH_CORRELATION = 10;

/**
 * What a test says of its techniques and sections, for whoever teaches: what was hard, what the whole class missed, what tells the ready from the not yet ready,
 * and where the judges' own words would put floors and pass mark.
 *
 * @param cases everybody with open marks; each rubric is reported by itself, in the order in which rubrics come.
 * @returns items without a panel mark are left out. *Missed* means below the points of *Meets*; checklists: not done.
 *
 * Discrimination is corrected: the item is not in the rest it is compared with. Candidates of whom nothing else was seen are not in it; where that is everybody, as in a
 * rubric of one item, the reason is "nothing-else". It says nothing where nearly everybody is alike.
 * Sources: Henrysson 1963, doi:10.1007/BF02289618 (corrected item-total correlation); `borderline`.
 */
export function itemReport(cases: readonly ItemCase[]): RubricReport[] {
  const rubrics = [...new Set(cases.map(({ rubric }) => rubric))];
  return rubrics.map((rubric) => {
    const its = cases.filter((one) => one.rubric === rubric);
    const items = figuresOf(rubric, its);
    return {
      rubric: rubric.id,
      candidates: its.length,
      items,
      missed: items
        .filter(({ candidates, missed }) => candidates >= ENOUGH_CLASS && missed >= MOST)
        .sort((a, b) => b.missed - a.missed || a.reached - b.reached),
      passMarks: passMarksOf(rubric, its),
    };
  });
}

interface Reached {
  points: number;
  weight: number;
}

function figuresOf(rubric: Rubric, cases: readonly ItemCase[]): ItemFigures[] {
  const { cells, sections, pointParts } = weighingOf(rubric);
  const all = sections.reduce((sum, { weight }) => sum + Number(weight), 0);
  const keys = [...new Set(cells.map(({ place }) => `${place.section}/${place.item ?? ""}`))];
  // By candidate, then item: points and weight of what the panel saw.
  const reached = cases.map(({ outcome }) => {
    const levels = new Map(outcome.panelMarks.map((mark) => [placeKey(mark), mark.level]));
    const found = new Map<string, Reached>();
    for (const { place, section, weight } of cells) {
      const level = levels.get(placeKey(place));
      if (level === undefined) continue;
      const its = sections[section] as (typeof sections)[number];
      const parts = Math.round(level * LEVEL_PARTS);
      const points = Number(pointsAt(its.ladder, parts)) / LEVEL_PARTS / Number(pointParts);
      const share = (Number(weight) / Number(its.cellWeight)) * (Number(its.weight) / all);
      const key = `${place.section}/${place.item ?? ""}`;
      const sum = found.get(key) ?? { points: 0, weight: 0 };
      found.set(key, { points: sum.points + share * points, weight: sum.weight + share });
    }
    return found;
  });
  return keys.flatMap((key): ItemFigures[] => {
    const [section, item] = key.split("/") as [SectionId, ItemId | ""];
    const meets = toNumber(
      (sections.find((one) => one.section.id === section) as (typeof sections)[number]).meets,
    );
    const pairs = reached.flatMap((found) => {
      const own = found.get(key);
      if (!own) return [];
      let [points, weight] = [0, 0];
      for (const [other, one] of found)
        if (other !== key) {
          points += one.points;
          weight += one.weight;
        }
      return [{ own: own.points / own.weight, rest: weight > 0 ? points / weight : null }];
    });
    if (pairs.length === 0) return [];
    return [
      {
        section,
        item: item === "" ? null : item,
        candidates: pairs.length,
        reached: pairs.reduce((sum, { own }) => sum + own, 0) / pairs.length,
        // A hair's breadth, so that a panel mark exactly at Meets is not missed by the last binary digit.
        missed: pairs.filter(({ own }) => own < meets - 1e-9).length / pairs.length,
        ...discriminationOf(pairs),
      },
    ];
  });
}

/** Over those of whom the rest was seen too. */
function discriminationOf(
  pairs: readonly { own: number; rest: number | null }[],
): Pick<ItemFigures, "discrimination" | "reason"> {
  const compared = pairs.flatMap(({ own, rest }) => (rest === null ? [] : [[rest, own] as const]));
  if (compared.length === 0) return { discrimination: null, reason: "nothing-else" };
  if (compared.length < ENOUGH_CORRELATION) return { discrimination: null, reason: "too-few" };
  const line = straightLine(compared);
  return line
    ? { discrimination: line.correlation }
    : { discrimination: null, reason: "all-equal" };
}

function passMarksOf(rubric: Rubric, cases: readonly ItemCase[]): RubricReport["passMarks"] {
  const judged = (one: ItemCase, section: SectionId | null): number | null => {
    const given = one.overalls.filter((its) => section === null || its.section === section);
    return given.length === 0
      ? null
      : given.reduce((sum, { judgement }) => sum + judgement, 0) / given.length;
  };
  const of = (section: SectionId | null) =>
    borderline(
      cases.flatMap((one) => {
        const judgement = judged(one, section);
        const score =
          section === null
            ? one.outcome.score
            : one.outcome.sections.find(({ id }) => id === section)?.score;
        return judgement === null || !score ? [] : [{ score: score.percent, judgement }];
      }),
    );
  return [
    { section: null, now: rubric.pass.mark, ...of(null) },
    ...rubric.sections
      .filter(({ overall }) => overall)
      .map(({ id, floor }) => ({ section: id, now: floor, ...of(id) })),
  ];
}
