import type { AnchorId } from "../../../src/belt-test/identity.ts";
import type { EntryBody } from "../../../src/belt-test/scorebook/entry.ts";
import type { Scorebook } from "../../../src/belt-test/scorebook/scorebook.ts";
import { weighing } from "../../../src/belt-test/verdict/weighing.ts";
import type { Dice } from "../../world/dice.ts";
import { Caller, Desk } from "../../world/floor.ts";
import { Judge } from "../../world/judge.ts";
import type { Page, Person } from "../../world/person.ts";

/** Marks anchors before the first call, and steps back from a section now and then. */
export class BusyJudge extends Judge {
  protected override work(page: Page) {
    const { book } = page;
    const { dice } = this;
    const chance = dice.share();
    const [its] = book.standards.anchors;
    if (its && chance < (book.floor.calls.length === 0 ? 0.35 : 0.01))
      return this.write(page, "anchor-marked", anchorMarks(book, its.anchor, dice));
    if (chance > 0.995) {
      const candidate = dice.pick(this.hall.candidates);
      const sections = book.plan.rubrics[0]?.sections ?? [];
      const section = sections.length > 0 ? dice.pick(sections).id : null;
      return this.write(page, "recused", { candidate, section });
    }
    if (chance > 0.985) return swapLanes(this, page);
    super.work(page);
  }
}

/** Waits for anchors to be marked, and says who stands in whose place. */
export class BusyCaller extends Caller {
  protected override work(page: Page) {
    const { dice } = this;
    if (
      page.book.standards.anchors.length > 0 &&
      page.book.floor.calls.length === 0 &&
      dice.falls(0.9)
    )
      return;
    if (dice.falls(0.02)) return swapLanes(this, page);
    super.work(page);
  }
}

/** Knows who is too young for what. */
export class BusyDesk extends Desk {
  protected override work(page: Page) {
    if (this.dice.falls(0.03)) return excuse(this, page);
    super.work(page);
  }
}

export function swapLanes(person: Person, page: Page): void {
  const [one, other] = page.book.plan.lanes(1);
  if (one && other && page.book.plan.isStarted)
    person.write(page, "lanes-swapped", { wave: 1, candidates: [one, other] });
}

export function excuse(person: Person, page: Page): void {
  const { book } = page;
  const [entrant] = book.plan.entrants;
  const section = book.plan.rubrics[0]?.sections.at(-1);
  const [item] = section?.items ?? [];
  if (!entrant || !section || !item) return;
  const { candidate } = entrant;
  const { ref, record } = person.text("chief", candidate);
  const body = { candidate, section: section.id, item: item.id, reason: ref };
  person.write(page, "excused", body, { sides: [record] });
}

/** Every cell of an anchor, or most of them. */
export function anchorMarks(
  book: Scorebook,
  anchor: AnchorId,
  dice: Dice,
): EntryBody<"anchor-marked"> {
  const its = book.standards.anchor(anchor);
  const rubric = its && book.plan.rubric(its.rubric);
  const cells = rubric ? weighing(rubric).cells : [];
  const marks = cells.flatMap(({ place: { section, item, side, criterion } }) =>
    section !== its?.section || dice.falls(0.1)
      ? []
      : [{ item, side, criterion, level: dice.whole(2, 4) }],
  );
  return { anchor, marks };
}
