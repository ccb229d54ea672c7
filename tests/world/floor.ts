import type { EntryBody } from "../../src/belt-test/scorebook/entry.ts";
import { type Page, Person } from "./person.ts";

/** Calls what is shown next, repeats, pauses. */
export class Caller extends Person {
  protected override work(notebook: Page) {
    const { book } = notebook;
    if (!book.plan.isStarted || this.dice.falls(0.6)) return;
    if (this.dice.falls(0.08))
      return this.write(notebook, book.floor.isPaused ? "resumed" : "paused", {});
    const { stops } = book.floor;
    if (stops.length > 0)
      return this.write(notebook, "floor-cleared", { stops: stops.map(({ id }) => id) });
    const calls = book.plan.rubrics[0]?.sections.flatMap((section): EntryBody<"called">[] =>
      section.items.map((item) => ({ wave: 1, section: section.id, item: item.id, side: null })),
    );
    const call = calls?.[Math.min(book.floor.calls.length, calls.length - 1)];
    if (!call || book.floor.calls.length > 12) return;
    this.write(notebook, "called", { ...call, ...(this.dice.falls(0.2) ? { repeat: true } : {}) });
  }
}

/** Checks people in, and presses a wrong name now and then. */
export class Desk extends Person {
  protected override work(notebook: Page) {
    const { book } = notebook;
    const { dice } = this;
    const entered = book.plan.entrants;
    if (entered.length === 0) return;
    const { candidate } = dice.pick(entered);
    if (book.floor.presence(candidate) === "expected") {
      if (dice.falls(0.1)) {
        const { ref, record } = this.text("desk", candidate, "health");
        return this.write(notebook, "unfit", { candidate, details: ref }, { sides: [record] });
      }
      return this.write(notebook, dice.falls(0.95) ? "checked-in" : "absent", { candidate });
    }
    if (dice.falls(0.03)) this.write(notebook, "expected", { candidate });
  }
}
