import type { CandidateId, CriterionId, ItemId, SectionId } from "../belt-test/identity.ts";
import {
  criteriaAt,
  itemOf,
  levelsAt,
  markedSides,
  sectionOf,
} from "../belt-test/rubric/lookup.ts";
import type { Item, Rubric, Section } from "../belt-test/rubric/rubric.ts";
import { type Mark, placeKey } from "../belt-test/scorebook/cell.ts";
import type { PersonId } from "../book/identity.ts";
import { readCsv, shown } from "./read-csv.ts";
import { type Complaint, Trouble } from "./trouble.ts";

/** One line of a marks file, before it is known which rubric it is marked by. */
export interface MarkRow {
  line: number;
  mark: Mark;
}

/** A line that says somebody does not do an item: `mark` is `excused`. */
export interface ExcuseRow {
  line: number;
  candidate: CandidateId;
  section: SectionId;
  item: ItemId;
}
export interface MarksFile {
  marks: MarkRow[];
  excuses: ExcuseRow[];
}

const needed = ["candidate", "judge", "section", "item", "criterion", "mark"] as const;
const optional = ["side", "how", "at"] as const;

/**
 * Marks from paper or a spreadsheet: `candidate,judge,section,item,criterion,mark[,side][,how][,at]`.
 * An empty item is a criterion marked once a section; `mark` is a level or `not-seen`. The same line twice is one mark.
 * With `mark` `excused` a line needs candidate, section and item only: it speaks for all judges.
 * @throws Trouble with every line that cannot be read, or says another mark of a cell than an earlier line.
 */
export function readMarks(file: string): MarksFile {
  const complaints: Complaint[] = [];
  const seen = new Map<string, MarkRow>();
  const excuses = new Map<string, ExcuseRow>();
  for (const { line, cells } of readCsv(file, needed, optional)) {
    const complain = (say: Complaint["say"], values: Record<string, string | number>) =>
      complaints.push({ say, file, line, with: values });
    const { candidate, judge, section, item, criterion, mark, side, how } = cells;
    const isExcuse = mark === "excused";
    const filled = isExcuse
      ? (["candidate", "section", "item"] as const)
      : (["candidate", "judge", "section", "criterion", "mark"] as const);
    const empty = filled.find((name) => cells[name] === "");
    const strange = (["candidate", "judge"] as const).find(
      (name) => cells[name].length > 64 || /[\p{C}/]/u.test(cells[name]),
    );
    if (empty) complain("mark-cell-empty", { name: empty });
    else if (strange) complain("mark-id", { name: strange, value: shown(cells[strange]) });
    else if (isExcuse)
      excuses.set(`${candidate}/${item}`, {
        line,
        candidate: candidate as CandidateId,
        section: section as SectionId,
        item: item as ItemId,
      });
    else if (!/^([1-9]|not-seen)$/.test(mark)) complain("mark-value", { value: shown(mark) });
    else if (!/^(left|right|)$/.test(side)) complain("mark-side", { value: shown(side) });
    else if (!/^(tapped|rest|)$/.test(how)) complain("mark-how", { value: shown(how) });
    else {
      const read: Mark = {
        candidate: candidate as CandidateId,
        judge: judge as PersonId,
        section: section as SectionId,
        item: item === "" ? null : (item as ItemId),
        side: side === "" ? null : (side as "left" | "right"),
        criterion: criterion as CriterionId,
        level: mark === "not-seen" ? mark : Number(mark),
        how: how === "rest" ? how : "tapped",
      };
      const key = `${candidate}/${judge}/${placeKey(read)}`;
      const before = seen.get(key);
      if (!before) seen.set(key, { line, mark: read });
      else if (before.mark.level !== read.level)
        complain("mark-twice", {
          candidate,
          judge,
          first: before.mark.level,
          second: read.level,
          other: before.line,
        });
    }
  }
  if (complaints.length > 0) throw new Trouble(complaints);
  return { marks: [...seen.values()], excuses: [...excuses.values()] };
}

type Misfit = Omit<Complaint, "file" | "line">;

/** What keeps a mark from belonging to a rubric; null when it does. */
export function misfit({ mark }: MarkRow, rubric: Rubric): Misfit | null {
  const values = { rubric: rubric.id };
  const found = placeIn(rubric, mark);
  if ("say" in found) return found;
  const { section, item } = found;
  const criteria = criteriaAt(section, item);
  if (!criteria.includes(mark.criterion))
    return {
      say: item === null ? "mark-criterion-once" : "mark-criterion",
      with: {
        ...values,
        value: shown(mark.criterion),
        item: item?.id ?? "",
        section: section.id,
        known: criteria.join(", ") || "–",
      },
    };
  if (!markedSides(item).includes(mark.side))
    return {
      say: mark.side === null ? "mark-side-missing" : "mark-side-unwanted",
      with: { item: item?.id ?? section.id, value: mark.side ?? "" },
    };
  const highest = levelsAt(rubric, section);
  return typeof mark.level === "number" && mark.level > highest
    ? { say: "mark-level", with: { ...values, value: mark.level, highest } }
    : null;
}

/** What keeps an excuse from belonging to a rubric; null when it does. */
export function excuseMisfit(row: ExcuseRow, rubric: Rubric): Misfit | null {
  const found = placeIn(rubric, row);
  return "say" in found ? found : null;
}

function placeIn(
  rubric: Rubric,
  place: { section: SectionId; item: ItemId | null },
): { section: Section; item: Item | null } | Misfit {
  const section = sectionOf(rubric, place.section);
  if (!section)
    return {
      say: "mark-section",
      with: {
        rubric: rubric.id,
        value: shown(place.section),
        known: rubric.sections.map(({ id }) => id).join(", "),
      },
    };
  const item = place.item === null ? null : itemOf(section, place.item);
  return item === undefined
    ? {
        say: "mark-item",
        with: { rubric: rubric.id, value: shown(place.item ?? ""), section: section.id },
      }
    : { section, item };
}
