import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { EntryKind } from "../../src/belt-test/kinds/all-kinds.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { EntryBody } from "../../src/belt-test/scorebook/entry.ts";
import type { GradingId, PersonId, TextRef } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import type { Notebook } from "../../src/tablet/session/notebook.ts";
import type { Dice } from "./dice.ts";
import { CANARY, secretOf } from "./sight-oracle.ts";
import type { VirtualTablet } from "./virtual-tablet.ts";

/** What everybody in the hall knows. */
export interface HallPlan {
  judges: readonly PersonId[];
  candidates: readonly CandidateId[];
}

/** What somebody writes in: a tablet's notebook, or what stands for one where no tablet is simulated. */
export interface Page extends Pick<Notebook, "book" | "link" | "isKept" | "write"> {
  readonly pass: Pick<Notebook["pass"], "device">;
}

/** Told when a write is answered, kept or not; of a lock also which of this person's entries were there to see. */
type OnWrote = (notebook: Page, id: string, device: string, seen: readonly string[]) => void;

/** Somebody with a tablet, or with several. */
export class Person {
  readonly name: PersonId;
  readonly roles: readonly [Role, ...Role[]];
  readonly tablets: VirtualTablet[] = [];
  readonly dice: Dice;
  protected readonly hall: HallPlan;
  readonly #grading: GradingId;
  readonly #makeId: () => string;
  readonly #onWrote: OnWrote;

  constructor(
    name: string,
    roles: readonly [Role, ...Role[]],
    world: {
      grading: GradingId;
      dice: Dice;
      hall: HallPlan;
      makeId: () => string;
      onWrote: OnWrote;
    },
  ) {
    this.name = name as PersonId;
    this.roles = roles;
    this.#grading = world.grading;
    this.dice = world.dice;
    this.hall = world.hall;
    this.#makeId = world.makeId;
    this.#onWrote = world.onWrote;
  }

  /** Does one thing, or nothing, on one of the tablets. */
  act(): void {
    const tablet = this.dice.pick(this.tablets);
    const tabs = [...tablet.tabs];
    if (tabs.length === 0) {
      if (this.dice.falls(0.3)) void tablet.openTab();
      return;
    }
    const { notebook, wake } = this.dice.pick(tabs);
    if (notebook.link === "away" && this.dice.falls(0.1)) wake();
    this.actOn(notebook);
  }
  /** Does one thing, or nothing. */
  actOn(page: Page): void {
    if (this.dice.falls(0.004)) this.#shout(page);
    else this.work(page);
  }
  protected work(_page: Page): void {}

  /** What nobody may be kept from writing. */
  #shout(notebook: Page): void {
    const { dice } = this;
    const candidate = dice.pick(this.hall.candidates);
    const { ref, record } = this.text("chief", "incident");
    if (dice.falls(0.4)) this.write(notebook, "stopped", { wave: 1 });
    else if (dice.falls(0.6))
      this.write(notebook, "incident", { candidate, text: ref }, { sides: [record] });
    else this.write(notebook, "withdrawn", { candidate, why: dice.pick(["hurt", null]) });
  }

  write<Kind extends EntryKind>(
    notebook: Page,
    kind: Kind,
    body: EntryBody<Kind>,
    more: Parameters<Notebook["write"]>[2] = {},
  ): void {
    const { device } = notebook.pass;
    const seen =
      kind === "locked"
        ? [...notebook.book.entries()].flatMap(({ id, by }) => (by === this.name ? [id] : []))
        : [];
    void notebook
      .write(kind, body, { ...more, drawn: this.dice.falls(0.5) })
      .then(({ id }) => this.#onWrote(notebook, id, device, seen));
  }
  /** A judgement that can be found in raw bytes. */
  judge<Kind extends "mark" | "overall" | "faults" | "note">(
    notebook: Page,
    kind: Kind,
    body: EntryBody<Kind>,
    more: Parameters<Notebook["write"]>[2] = {},
  ): void {
    this.write(notebook, kind, { ...body, [CANARY]: this.#makeId() }, more);
  }
  /** Words kept beside the book, for those only who may read them. */
  text(
    whose: "chief" | "desk",
    about: string,
    kind: SideRecord["kind"] = "text",
  ): { ref: TextRef; record: SideRecord } {
    const id = this.#makeId();
    return makeSideRecord(
      {
        grading: this.#grading,
        about: (about === "incident" ? this.name : about) as SideRecord["about"],
        kind,
        body:
          kind === "candidate"
            ? { given: `Given-${about}`, family: secretOf("desk", id) }
            : { text: secretOf(whose, id) },
      },
      { random: (bytes) => new Uint8Array(bytes) },
    );
  }
}
