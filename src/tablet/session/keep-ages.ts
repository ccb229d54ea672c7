import type { CandidateId, ItemId, SectionId } from "../../belt-test/identity.ts";
import { dueByAge } from "../../belt-test/planning/excused-by-age.ts";
import type { EntryBody } from "../../belt-test/scorebook/entry.ts";
import { makeSideRecord } from "../../line/make-side-record.ts";
import { candidateDetails } from "./names.ts";
import type { Notebook } from "./notebook.ts";
import type { Services } from "./services.tsx";

/** As the record beside an excuse says it. */
const AGE = "age";

/** What this device has said by itself: what was refused is not said again and again. */
const said = new WeakMap<Notebook, Set<string>>();

/**
 * Excuses whoever is too young for an item, and asks it after all of whoever is not: by the year, the rubric and the day as they stand now.
 * Whoever writes one of these need not know who else wrote another.
 *
 * @param candidates  everybody where nothing is said
 */
export async function keepAges(
  notebook: Notebook,
  chance: Pick<Services, "random">,
  candidates: readonly CandidateId[] = notebook.book.plan.entrants.map((one) => one.candidate),
): Promise<void> {
  const mine = said.get(notebook) ?? new Set();
  said.set(notebook, mine);
  const due = candidates.flatMap((candidate) =>
    dueByAge(notebook.book, candidate, {
      details: knownOf(notebook, candidate),
      isForAge: (excuse) => isForAge(notebook, excuse),
      isBegun: (section, item) => isBegun(notebook, candidate, section, item),
    }),
  );
  const writing = due.flatMap((body) => {
    const act = actOf(notebook, body);
    if (mine.has(act)) return [];
    mine.add(act);
    const { ref, record } = makeSideRecord(
      {
        ...{ grading: notebook.pass.grading, about: body.candidate, kind: "text" },
        body: { text: AGE },
      },
      chance,
    );
    return [notebook.write("excused", { ...body, reason: ref }, { sides: [record] })];
  });
  await Promise.all(writing);
}

/** Undefined where a part of what was written of the child is not here: the year may stand in it. */
function knownOf(notebook: Notebook, candidate: CandidateId) {
  const { given, details } = notebook.book.plan.entrant(candidate) ?? {};
  const isHere = [given, details].every((ref) => !ref || notebook.sides.has(ref.id));
  return isHere ? (candidateDetails(notebook, candidate) ?? {}) : undefined;
}

function isForAge({ sides }: Notebook, { why, reason }: EntryBody<"excused">): boolean {
  return reason ? sides.get(reason.id)?.body["text"] === AGE : why === AGE;
}

function isBegun(
  { book, news }: Notebook,
  candidate: CandidateId,
  section: SectionId,
  item: ItemId,
): boolean {
  const isMarked = book.marks
    .of(candidate, "now")
    .some((mark) => mark.section === section && mark.item === item);
  const isFinal =
    book.openings.isRevealed(candidate, section) ||
    book.openings.locksOf(candidate, section).size > 0;
  const isFilled = [...news.coverage.values()].some(
    (its) =>
      its.candidate === candidate &&
      its.section === section &&
      (its.state === "filled" || its.state === "locked"),
  );
  return isMarked || isFinal || isFilled;
}

/** The same act for the same state of things. */
function actOf({ book: { plan } }: Notebook, body: EntryBody<"excused">): string {
  const { candidate, item, lifted } = body;
  return [
    ...[candidate, item, lifted ?? false, plan.excuseSaid(candidate, item)?.reason?.id],
    ...[plan.entrant(candidate)?.details?.id, plan.rubricOf(candidate)?.version, plan.opened?.date],
  ].join("/");
}
