import type { CandidateId, SectionId } from "../../belt-test/identity.ts";
import type { EntryBody } from "../../belt-test/scorebook/entry.ts";
import { heldAtGiving, heldAtOpening } from "../../belt-test/scorebook/held-on-the-road.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { PersonId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";

/**
 * Whether this device says itself what was held: without a hub, and where the hub is away and files were taken. What is decided then rests on those files; the
 * hub would say what it has come to hold by whatever tablets came before the chief's.
 */
const saysItself = ({ pass: { token, fromFiles } }: Notebook): boolean =>
  token === undefined || (fromFiles !== undefined && !fromFiles.isMet);

/**
 * Gives all places of a judge to another, or those alone that `only` names by whose they were first in the plan. With a hub this device says nothing of what is
 * held: the hub does, which alone holds closed marks. Else (`saysItself`) it says so in a line of its own, which no judge is sent.
 */
export function giveOver(
  notebook: Notebook,
  given: Pick<EntryBody<"judge-replaced">, "judge" | "by">,
  only?: PersonId[],
): Promise<unknown> {
  const { book } = notebook;
  // Those that this judge has now: what they gave away before is another's.
  const places = only ?? [
    ...new Set(
      book.panel.assignments.flatMap(({ judge }) =>
        book.panel.successor(judge) === given.judge ? [judge] : [],
      ),
    ),
  ];
  const body = { ...given, ...(places.length > 0 && { places }) };
  if (!saysItself(notebook)) return notebook.write("judge-replaced", body);
  const held = heldAtGiving(book, given);
  let line: AnyEntry;
  return notebook.writeTogether([
    (pen) => (line = pen.write("judge-replaced", { ...body, isHeldBeside: true })),
    (pen) => pen.write("held-at-giving", { of: line.id, ...held }),
  ]);
}

/** What this device held of everybody without whom one child's section is opened. */
export const missingWithoutHub = (
  notebook: Notebook,
  candidate: CandidateId,
  section: SectionId,
): Partial<ReturnType<typeof heldAtOpening>> =>
  saysItself(notebook) ? heldAtOpening(notebook.book, candidate, section) : {};
