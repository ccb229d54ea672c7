import type { AnyEntry } from "../../src/book/entry.ts";
import type { Fault } from "../../src/book/faults.ts";
import type { ViewerAs } from "../../src/book/readers.ts";
import type { SideRules } from "../../src/book/side-rules.ts";
import type { AnyAuthor } from "../../src/hub/room/handed.ts";
import type { Intake } from "../../src/hub/room/intake.ts";
import { Register, register } from "./a-register.ts";
import type { Post } from "./a-register-reading.ts";

export interface Hand extends AnyAuthor, ViewerAs<Post> {}

const registerSides: SideRules = {
  isKnown: register.isKnown,
  faultOf(entry, ref, record) {
    if (record.digest !== ref.digest) return "digest";
    if (record.kind !== "called") return "kind";
    return registerSides.spokenOfIn(entry).includes(record.about) ? null : "about";
  },
  spokenOfIn: ({ body: { person } }) => (typeof person === "string" ? [person] : []),
  isAsked: register.isKnown,
  hasWords: register.isKnown,
  isWordless: ({ kind }) => kind === "attended",
  seatedIn: () => undefined,
  erasedIn: (entry) =>
    register.isKnown(entry) && entry.kind === "erased" ? entry.body.about : undefined,
  namesIn: (records) =>
    records.flatMap(({ body: { name } }) => (typeof name === "string" ? [name] : [])),
};
const atAnyTime = register.kindsThatAre("at-any-time");

/** What the register asks of a line: a month is closed by the office, and nothing is said of it afterwards but what a lost hub had taken. */
export class RegisterIntake implements Intake<Register, Hand> {
  #book = new Register();
  readonly lines = {
    sides: registerSides,
    readEntry: register.readEntry,
    isOutOfTurn: ({ kind }: AnyEntry) => atAnyTime.has(kind),
    isForAnyone: ({ kind }: AnyEntry) => atAnyTime.has(kind),
    most: { joined: 3 },
  };

  decidesBy(book: Register): void {
    this.#book = book;
  }
  refusalOf(entry: AnyEntry, { roles }: Hand, isOurs: boolean): Fault | null {
    if (!register.isKnown(entry)) return null;
    if (entry.kind === "month-over" && !roles.includes("office")) return { code: "ROLE_MISSING" };
    const isLate = entry.kind === "judged" && this.#book.monthsOver.has(entry.body.month);
    return isLate && !isOurs ? { code: "GRADING_CLOSED" } : null;
  }
  isSeated(): boolean {
    return false;
  }
  mustVouch(): boolean {
    return true;
  }
}
