import type { EntryBody } from "../../belt-test/scorebook/entry.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { GradingId } from "../../book/identity.ts";
import type { Author } from "./author.ts";
import { hubPen } from "./hub-pen.ts";

/** What the hub writes of a further device of somebody's, in the chief's name, and as whom it hands it in. */
export function letInLine(
  book: Scorebook,
  grading: GradingId,
  body: EntryBody<"let-in">,
  nowMs: number,
): { author: Author; entry: AnyEntry } {
  const { pen, person, device } = hubPen(book, grading, nowMs);
  return {
    author: { person, roles: ["chief"], device, isHubs: true },
    entry: pen.write("let-in", body) as AnyEntry,
  };
}
