import type { CandidateId, CriterionId, ItemId, SectionId } from "../belt-test/identity.ts";
import { type Misfit, misfitOf, rowMisfit } from "../belt-test/rubric/misfit.ts";
import type { Rubric } from "../belt-test/rubric/rubric.ts";
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

type Unfit = Omit<Complaint, "file" | "line">;

/** What keeps a mark from belonging to a rubric, in words; null when it does. */
export function unfitMark({ mark }: MarkRow, rubric: Rubric): Unfit | null {
  const misfit = misfitOf(rubric, mark, mark.level);
  return misfit && inWords(rubric, mark, misfit);
}

/** What keeps an excuse from belonging to a rubric; null when it does. */
export function unfitExcuse({ section, item }: ExcuseRow, rubric: Rubric): Unfit | null {
  const place = { section, item, side: null };
  const found = rowMisfit(rubric, place);
  // Of which side an excuse does not say.
  return "not" in found && found.not !== "side" ? inWords(rubric, place, found) : null;
}

function inWords(
  { id: rubric, sections }: Rubric,
  place: Pick<Mark, "section" | "item" | "side"> & { criterion?: CriterionId },
  misfit: Misfit,
): Unfit {
  switch (misfit.not) {
    case "section": {
      const known = sections.map(({ id }) => id).join(", ");
      return { say: "mark-section", with: { rubric, value: shown(place.section), known } };
    }
    case "item": {
      const section = misfit.section.id;
      return { say: "mark-item", with: { rubric, value: shown(place.item ?? ""), section } };
    }
    case "side":
      return {
        say: place.side === null ? "mark-side-missing" : "mark-side-unwanted",
        with: { item: misfit.item?.id ?? misfit.section.id, value: place.side ?? "" },
      };
    case "criterion":
      return {
        say: misfit.item === null ? "mark-criterion-once" : "mark-criterion",
        with: {
          rubric,
          value: shown(place.criterion ?? ""),
          item: misfit.item?.id ?? "",
          section: misfit.section.id,
          known: misfit.known.join(", ") || "–",
        },
      };
    case "level":
      return {
        say: "mark-level",
        with: { rubric, value: misfit.level, highest: misfit.highest },
      };
  }
}
