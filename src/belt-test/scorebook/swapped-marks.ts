import type { PersonId } from "../../book/identity.ts";
import type { CandidateId, CriterionId, ItemId, SectionId } from "../identity.ts";
import { criteriaAt } from "../rubric/lookup.ts";
import { misfitOf, rowMisfit } from "../rubric/misfit.ts";
import type { Side } from "../rubric/rubric.ts";
import type { Write } from "./cell.ts";
import type { EntryBody } from "./entry.ts";
import { laneOf } from "./lane-words.ts";
import type { Scorebook } from "./scorebook.ts";

export interface Row {
  section: SectionId;
  item: ItemId | null;
  side: Side | null;
}

export const rowKey = ({ section, item, side }: Row): string =>
  `${section}/${item ?? ""}/${side ?? ""}`;

/** One criterion's marks, and whose they are to be; undefined for blank. */
export interface Move {
  criterion: CriterionId;
  to: ReadonlyMap<CandidateId, Write | undefined>;
  /** It would go to a child of whom it means something else. */
  isOfOtherScale: boolean;
}

/** What becomes of a judge's marks of one call when two children stood in each other's place. */
export interface SwappedMarks {
  /** One for each child; by the first rules one for both. Empty where nothing moves. */
  bodies: EntryBody<"mark">[];
  /** Criteria that only one of the two is asked for, or on another scale: their marks stay where they are. */
  stay: CriterionId[];
  /** The judge has locked one of the two there, so that every mark stays. */
  isLocked: boolean;
  /** One of the two is not marked by this judge there, so that every mark stays. */
  isOfOthers: boolean;
}

/** Marks of one call as they are written where they go: of each criterion all or none. @param lanes  in which the children stand then */
export function movedMarks(
  book: Scorebook,
  judge: PersonId,
  row: Row,
  lanes: readonly CandidateId[],
  moves: readonly Move[],
): SwappedMarks {
  const who = [...new Set(moves.flatMap(({ to }) => [...to.keys()]))];
  const isLocked = who.some((one) => book.openings.hasLocked(judge, one, row.section));
  const isOfOthers = who.some((one) => !book.panel.judgesOf(one, row.section).includes(judge));
  const moving = moves.filter(
    ({ criterion, to, isOfOtherScale }) =>
      !isOfOtherScale &&
      [...to].every(([candidate, mark]) => fits(book, candidate, row, criterion, mark)),
  );
  const stay = moves.filter((one) => !moving.includes(one)).map(({ criterion }) => criterion);
  if (isLocked || isOfOthers || moving.length === 0)
    return { bodies: [], stay, isLocked, isOfOthers };
  const cells = moving.flatMap(({ criterion, to }) =>
    [...to].map(([candidate, mark]) => given(candidate, criterion, mark)),
  );
  const bodies =
    book.plan.rules === 1
      ? [{ ...row, cells }]
      : who.flatMap((one) => {
          const its = cells.filter(({ candidate }) => candidate === one);
          return its.length > 0 ? [{ ...row, ...laneOf({ lanes }, one), cells: its }] : [];
        });
  return { bodies, stay, isLocked, isOfOthers };
}

const given = (candidate: CandidateId, criterion: CriterionId, mark: Write | undefined) => ({
  candidate,
  criterion,
  level: mark?.level ?? ("cleared" as const),
  how: mark?.how ?? ("tapped" as const),
});

/** What any of these candidates is asked for at this place. */
export const askedOfAny = (
  book: Scorebook,
  candidates: readonly CandidateId[],
  row: Row,
): CriterionId[] => [...new Set(candidates.flatMap((one) => asked(book, one, row)))];

/** What a candidate's rubric asks for at this place. */
function asked(book: Scorebook, candidate: CandidateId, row: Row): readonly CriterionId[] {
  const rubric = book.plan.rubricOf(candidate);
  const found = rubric && rowMisfit(rubric, row);
  return found && !("not" in found) ? criteriaAt(found.section, found.item) : [];
}

/** Whether a candidate can be given what another had in this cell. */
function fits(
  book: Scorebook,
  candidate: CandidateId,
  row: Row,
  criterion: CriterionId,
  mark: Write | undefined,
): boolean {
  const rubric = book.plan.rubricOf(candidate);
  return rubric !== undefined && misfitOf(rubric, { ...row, criterion }, mark?.level) === null;
}
