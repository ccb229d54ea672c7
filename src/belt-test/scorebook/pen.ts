import type { Basis } from "../../book/counts.ts";
import { type PenSettings as AnyPenSettings, PenOf, type PenRules } from "../../book/pen.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import type { Bodies, EntryBody } from "./entry.ts";
import { countedPlace, countOf } from "./place-counts.ts";
import { RULES, type Rules, rulesOf } from "./rules.ts";

export interface PenSettings extends AnyPenSettings {
  /** By which rules the book is read; today's where nothing is said. */
  rules?: () => Rules;
}

/** Writes in a belt test's scorebook. */
export class Pen extends PenOf<Bodies> {
  constructor({ rules = () => RULES, ...settings }: PenSettings) {
    super(penRules(rules), settings);
  }
}

/**
 * What is told to nobody before the reveal does not make logical time go on: whoever sees the clock of a judge's next stop
 * would know how many taps came before it. On the device the count says what came first.
 */
const untimed = kindsThatAre("untimed");

export function penRules(rules: () => Rules): PenRules {
  // The line that opens a book says by which rules it is read.
  const rulesFor = (kind: string, body: object): Rules =>
    kind === "opened" ? rulesOf((body as EntryBody<"opened">).rules) : rules();
  return {
    // By the first rules logical time tells what came after a lock, and a device has one count.
    isTimed: (kind, body) => !untimed.has(kind) || rulesFor(kind, body) === 1,
    countFor: (device, kind, body) =>
      countOf(device, rulesFor(kind, body) === 1 ? undefined : countedPlace(kind, body)),
    isVouched: (kind, body) => rulesFor(kind, body) >= 3,
    /** A lock's, or an answer's, `basis` is made whole: it speaks of all that its own count holds before it. */
    placed(kind, body, { device, n }) {
      if (kind !== "locked" && kind !== "answered") return body;
      const { basis } = body as { basis?: Basis };
      return { ...body, basis: { ...basis, [device]: n - 1 } };
    },
  };
}
