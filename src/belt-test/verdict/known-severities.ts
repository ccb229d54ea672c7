import type { PersonId } from "../../book/identity.ts";
import { type AnchorMark, anchorSeverities } from "../../ratings/anchors/anchor-severities.ts";
import { keptSeverity } from "../../ratings/anchors/kept-severity.ts";
import { scoreWeight } from "../../ratings/severity/reduced.ts";
import type { KnownSeverity } from "../../ratings/severity/severities.ts";
import { placeKey } from "../scorebook/cell.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { weighing as weighingOf } from "./weighing.ts";

/**
 * What is known of each judge beside today's marks: from anchor performances and from earlier tests, as far as the chief reckons with them.
 *
 * @returns by judge, in levels; judges of whom nothing is known are not in it. An anchor of one section says less than one of the whole test, and is trusted less.
 *   Who wrote down the agreed marks of an anchor is not measured by it.
 *
 * Where the agreed marks come from a closer look than the judges took, every judge seems lenient and adjusting does great harm (docs/fairness.md).
 * That is why anchors count only when the chief says so.
 * Source: `anchorSeverities`, `keptSeverity`.
 */
export function knownSeverities(book: Scorebook): Map<PersonId, KnownSeverity> {
  const { anchors, history } = book.standards.severitiesUsed;
  const judges = book.plan.seats
    .filter(({ roles }) => roles.includes("judge"))
    .map((one) => one.person);
  const fromAnchors = anchors ? measuredByAnchors(book, judges) : judges.map(() => null);
  const today = Date.parse(book.plan.opened?.date ?? "");
  const known = new Map<PersonId, KnownSeverity>();
  judges.forEach((judge, place) => {
    const earlier = history
      ? book.standards.keptSeverities.flatMap(({ judge: whose, kept, date }) =>
          whose === judge && kept
            ? [{ ...kept, yearsAgo: Math.max(0, (today - Date.parse(date)) / YEAR_MS || 0) }]
            : [],
        )
      : [];
    const anchor = fromAnchors[place];
    const all = keptSeverity([...earlier, ...(anchor ? [{ ...anchor, yearsAgo: 0 }] : [])]);
    if (all) known.set(judge, all);
  });
  return known;
}

const YEAR_MS = 365.25 * 24 * 3_600_000;

function measuredByAnchors(
  book: Scorebook,
  judges: readonly PersonId[],
): readonly (KnownSeverity | null)[] {
  const marks: AnchorMark[] = [];
  const shares = judges.map((): number[] => []);
  book.standards.anchors.forEach(({ anchor, rubric: id, section }, place) => {
    const rubric = book.plan.rubric(id);
    const agreed = book.standards.agreed(anchor);
    if (!rubric || !agreed) return;
    const { cells, cellAt, sections } = weighingOf(rubric);
    const its = sections.find((one) => one.section.id === section);
    if (!its || its.section.marking === "checklist") return;
    const all = sections.reduce((sum, { weight }) => sum + Number(weight), 0);
    const levelAt = new Map(
      agreed.body.marks.map((mark) => [placeKey({ ...mark, section }), mark.level]),
    );
    judges.forEach((judge, j) => {
      if (judge === agreed.by) return;
      let seen = 0;
      for (const mark of book.standards.anchorMarks(anchor, judge)) {
        const key = placeKey({ ...mark, section });
        const at = cellAt.get(key);
        const level = levelAt.get(key);
        if (at === undefined || level === undefined) continue;
        const weight = Number(cells[at]?.weight ?? 0n) / Number(its.cellWeight);
        seen += weight;
        marks.push({ anchor: place, judge: j, level: mark.level, agreed: level, weight });
      }
      if (seen > 0) shares[j]?.push((seen * Number(its.weight)) / all);
    });
  });
  return anchorSeverities(marks, judges.length).map((one, j) => {
    const share = shares[j] ?? [];
    const mean = share.reduce((sum, value) => sum + value, 0) / share.length;
    return one && { severity: one.severity, sd: one.sd / Math.sqrt(scoreWeight(mean)) };
  });
}
