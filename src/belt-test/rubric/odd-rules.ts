import { fromDecimal, type Rational, rational, toNumber } from "../exact/rational.ts";
import { weightedTotal } from "../exact/weighted-total.ts";
import { wholes } from "../exact/wholes.ts";
import { type FaultLibrary, faultsFor } from "./fault-library.ts";
import { type Finding, finding } from "./finding.ts";
import { criteriaAt, levelsAt, meetsLevelAt } from "./lookup.ts";
import { passes, passLine } from "./pass-line.ts";
import type { Rubric, Section } from "./rubric.ts";
import { CHECKLIST_LEVELS } from "./rubric.ts";

/** Rules of passing, of the panel and of retests that are valid and probably not meant. */
export function oddRules(rubric: Rubric, library?: FaultLibrary): Finding[] {
  return [...ofPass(rubric), ...ofFloors(rubric), ...ofPanel(rubric), ...ofItems(rubric, library)];
}

function ofPass(rubric: Rubric): Finding[] {
  const { mark } = rubric.pass;
  const least = totalAt(rubric, () => 1);
  const most = totalAt(rubric, (section) => levelsAt(rubric, section));
  const meets = totalAt(rubric, (section) => meetsLevelAt(rubric, section));
  const line = passLine(rubric.pass);
  const path = ["pass", "mark"];
  const found: Finding[] = [];
  if (passes(least, line))
    found.push(finding("PASS_UNMISSABLE", path, { mark, least: shown(toNumber(least)) }));
  if (!passes(most, line))
    found.push(finding("PASS_UNREACHABLE", path, { mark, most: shown(toNumber(most)) }));
  else if (!passes(meets, line))
    found.push(finding("PASS_ABOVE_MEETS", path, { mark, meets: shown(toNumber(meets)) }));
  const band = rubric.disagreement.borderlineBand;
  if (mark - band <= toNumber(least) && mark + band >= toNumber(most))
    found.push(
      finding("BAND_COVERS_ALL", ["disagreement", "borderlineBand"], {
        band,
        from: shown(Math.max(0, mark - band)),
        to: shown(Math.min(100, mark + band)),
      }),
    );
  return found;
}

function ofFloors(rubric: Rubric): Finding[] {
  const meets = pointsOf(rubric, rubric.scale.meetsLevel);
  return rubric.sections.flatMap((section, at) => {
    const path = ["sections", at];
    const { title, floor } = section;
    const found: Finding[] = [];
    const { mark } = rubric.pass;
    if (floor > mark)
      found.push(finding("FLOOR_ABOVE_PASS", [...path, "floor"], { section: title, floor, mark }));
    if (section.marking !== "checklist" && floor > meets)
      found.push(
        finding("FLOOR_ABOVE_MEETS", [...path, "floor"], { section: title, floor, meets }),
      );
    return found;
  });
}

function ofPanel({ panel, disagreement, scale, from, to, retest }: Rubric): Finding[] {
  const found: Finding[] = [];
  const most = scale.levels.length - 1;
  const { levelGap } = disagreement;
  if (levelGap > most)
    found.push(finding("GAP_NEVER", ["disagreement", "levelGap"], { levelGap, most }));
  const { quorum } = panel;
  if (panel.combine === "drop-high-low" && quorum < 3)
    found.push(finding("DROP_NEEDS_THREE", ["panel", "quorum"], { quorum }));
  if (panel.combine === "robust" && quorum < 3)
    found.push(finding("ROBUST_NEEDS_THREE", ["panel", "quorum"], { quorum }));
  if (from.id === to.id) found.push(finding("RANKS_SAME", ["to", "id"], { rank: to.title }));
  const { scope, keptMonths, waitDays } = retest;
  // The shortest month has 28 days; whoever keeps sections less than the wait keeps nothing.
  if (scope === "sections" && keptMonths * 31 < waitDays + 1)
    found.push(finding("KEPT_TOO_SHORT", ["retest", "keptMonths"], { keptMonths, waitDays }));
  return found;
}

function ofItems(rubric: Rubric, library: FaultLibrary | undefined): Finding[] {
  const meets = pointsOf(rubric, rubric.scale.meetsLevel);
  return rubric.sections.flatMap((section, s) =>
    section.items.flatMap((item, i) => {
      const path = ["sections", s, "items", i];
      const found: Finding[] = [];
      const { title, mustShow, minimumAge } = item;
      if (mustShow && mustShow.floor > meets)
        found.push(
          finding("MUST_SHOW_ABOVE_MEETS", [...path, "mustShow", "floor"], {
            item: title,
            floor: mustShow.floor,
            meets,
          }),
        );
      if (mustShow && minimumAge !== undefined)
        found.push(
          finding("MUST_SHOW_AGE_GATED", [...path, "mustShow"], { item: title, minimumAge }),
        );
      const once = criteriaAt(section, null);
      item.criteria.forEach((criterion, at) => {
        if (once.includes(criterion))
          found.push(
            finding("CRITERION_MARKED_TWICE", [...path, "criteria", at], {
              item: title,
              criterion,
              section: section.title,
            }),
          );
      });
      if (library) {
        const fitting = [...criteriaAt(section, item), ...once].flatMap((criterion) =>
          faultsFor(library, section, item, criterion).map(({ id }) => id),
        );
        item.faults.forEach((fault, at) => {
          const isKnown = library.faults.some(({ id }) => id === fault);
          if (isKnown && !fitting.includes(fault))
            found.push(finding("FAULT_MISFIT", [...path, "faults", at], { item: title, fault }));
        });
      }
      return found;
    }),
  );
}

const pointsOf = ({ scale }: Rubric, level: number): number => scale.levels[level - 1]?.points ?? 0;

/** The total of somebody who is given the same level all through, in percent. */
function totalAt(rubric: Rubric, levelIn: (section: Section) => number): Rational {
  const weights = wholes(rubric.sections.map(({ weight }) => fromDecimal(weight)));
  const scores = rubric.sections.map((section) => {
    const level = levelIn(section);
    if (section.marking === "checklist") return rational(level === CHECKLIST_LEVELS ? 100n : 0n);
    return fromDecimal(pointsOf(rubric, level));
  });
  return weightedTotal(
    scores.map((score, at) => ({ score, weight: weights[at] as bigint })),
  ) as Rational;
}

const shown = (score: number): number => Math.round(score * 10) / 10;
