import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import { refusal } from "../permit/refusal.ts";
import type { Writer } from "../permit/writer.ts";
import { pathText } from "../rubric/finding.ts";
import { borderFault } from "../scorebook/border-fault.ts";
import { type EntryBody, isKnown } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";
import { unsoundRubrics } from "../scorebook/unsound-rubrics.ts";
import { verdictFault } from "../verdict/verdict-fault.ts";
import { refusalOfId } from "./refusal-of-id.ts";

/**
 * Why a book does not take a new entry, whichever way it comes: over the line, or out of a file.
 * What is in a book already is read as it is, and asked nothing.
 *
 * @param known  the highest logical time there is, where that is more than the book holds
 * @returns null when it is taken.
 */
export function refusalOfNew(
  book: Scorebook,
  writer: Writer,
  entry: AnyEntry,
  known?: number,
): Fault | null {
  return (
    borderFault(entry) ??
    refusal(book, writer, entry, known) ??
    refusalOfId(book, entry) ??
    refusalOfUnsound(entry) ??
    (isKnown(entry) && entry.kind === "verdict" ? verdictFault(book, entry) : null)
  );
}

/** A rubric that contradicts itself is never taken into a book that keeps it for ever. */
function refusalOfUnsound(entry: AnyEntry): Fault | null {
  const [first] = unsoundRubrics([entry]);
  if (!first) return null;
  const { rubric } = entry.body as EntryBody<"frozen">;
  return { code: "RUBRIC_UNSOUND", with: { file: rubric.id, path: pathText(first.path) } };
}
