import type { SheetOf } from "../../../belt-test/feedback/sheet-of.ts";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { FreeText } from "../../../belt-test/scorebook/side-bodies.ts";
import sheetsWords from "../../../words/en/sheets.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { SheetPage } from "../../print/sheet-page.tsx";
import { candidateDetails, personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useNotebook } from "../../session/services.tsx";

/** One candidate's page with the names this device knows. */
export function SheetPageOf({
  candidate,
  made,
  words,
}: {
  candidate: CandidateId;
  made: SheetOf;
  /** A sentence being written; absent for the one kept in the book. */
  words?: string | undefined;
}) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(sheetsWords);
  const rubric = book.plan.rubricOf(candidate);
  const entrant = book.plan.entrant(candidate);
  if (!rubric || !entrant) return null;
  const details = candidateDetails(notebook, candidate);
  const decided = book.decisions.verdict(candidate)?.by ?? chiefOf(notebook);
  return (
    <SheetPage
      sheet={made.sheet}
      title={book.plan.opened?.title ?? ""}
      number={entrant.number}
      name={[details?.given, details?.family].filter(Boolean).join(" ")}
      chief={(decided && personName(notebook, decided)) ?? say("somebody")}
      scale={rubric.scale}
      words={(words ?? keptWords(notebook, candidate)).trim() || undefined}
      needsPartner={made.needsPartner}
    />
  );
}

const chiefOf = ({ book }: Notebook) =>
  book.plan.seats.find(({ roles }) => roles.includes("chief"))?.person;

/** The chief's own sentence as it is kept; empty where there is none, or it was erased. */
export function keptWords({ book, sides }: Notebook, candidate: CandidateId): string {
  const ref = book.decisions.sheetEdit(candidate)?.body.words;
  const read = FreeText.safeParse(ref && sides.get(ref.id)?.body);
  return read.success ? read.data.text : "";
}
