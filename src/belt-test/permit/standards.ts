import type { Fault } from "../../book/faults.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import type { standardKinds } from "../kinds/standards.ts";
import { sectionOf } from "../rubric/lookup.ts";
import { misfitOf } from "../rubric/misfit.ts";
import { isAllReleased } from "../scorebook/all-released.ts";
import type { Entry, EntryOf } from "../scorebook/entry.ts";
import { misfitFault } from "../scorebook/misfit-fault.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { type Asked, nothing, type RefusalsOf } from "./refusals.ts";
import { refusalOfUnseated } from "./strangers.ts";
import { comesAgain, type Writer } from "./writer.ts";

const ofAnchorMarks = (
  { book, at }: Asked,
  { body: { anchor, marks }, kind }: EntryOf<"anchor-agreed" | "anchor-marked">,
): Fault | null => {
  const its = book.standards.anchor(anchor, at);
  const rubric = its && book.plan.rubric(its.rubric);
  if (!rubric || !sectionOf(rubric, its.section) || (kind === "anchor-marked" && !its.isOpen))
    return { code: "ANCHOR_UNKNOWN" };
  for (const mark of marks) {
    const place = { ...mark, section: its.section };
    const misfit = misfitOf(rubric, place, mark.level);
    if (misfit) return misfitFault(rubric, place, misfit);
  }
  return null;
};

export const standardRefusals = {
  "anchor-set": ({ book }, { body: { rubric: id, section } }) => {
    const rubric = book.plan.rubric(id);
    if (!rubric) return { code: "RUBRIC_UNKNOWN", with: { rubric: id } };
    return sectionOf(rubric, section)
      ? null
      : { code: "ITEM_UNKNOWN", with: { section, item: "", rubric: id } };
  },
  "anchor-agreed": ofAnchorMarks,
  "anchor-marked": ofAnchorMarks,
  "severity-kept": ({ book }, { body }) => refusalOfUnseated(book, body.judge),
  "severities-used": nothing,
  "judge-told": ({ book }, { body }) =>
    refusalOfUnseated(book, body.judge) ?? (isAllReleased(book) ? null : { code: "NOT_RELEASED" }),
} satisfies RefusalsOf<typeof standardKinds>;

/**
 * From the first call on nobody adds to what anchors say: whoever has watched the candidates no longer judges them with the same eye.
 * Taking one back, and bringing it back as it was, add nothing.
 */
export function refusalOfLateAnchor(book: Scorebook, writer: Writer, entry: Entry): Fault | null {
  const first = book.floor.calls[0];
  // Logical time, not arrival, as at the closing; but whoever writes it may choose it.
  if (!first || (entry.lamport <= first.lamport && !comesBehindMarks(book, writer, entry)))
    return null;
  switch (entry.kind) {
    case "anchor-agreed":
    case "anchor-marked":
      return { code: "ANCHOR_LATE" };
    case "anchor-set": {
      const { anchor, rubric, section, isOpen } = entry.body;
      const its = book.standards.anchor(anchor);
      const isAsItWas = its?.rubric === rubric && its.section === section;
      return isOpen && !isAsItWas ? { code: "ANCHOR_LATE" } : null;
    }
    default:
      return null;
  }
}

const ofCandidates = kindsThatAre("of-a-place");

/** A tablet hands in what it wrote in turn: a judge's marks of an anchor that come behind what that judge wrote of candidates were written behind it. */
const comesBehindMarks = (book: Scorebook, writer: Writer, entry: Entry): boolean =>
  entry.kind === "anchor-marked" &&
  book.plan.rules > 1 &&
  !comesAgain(book, writer, entry) &&
  [...book.entries()].some(({ kind, by }) => by === entry.by && ofCandidates.has(kind));
