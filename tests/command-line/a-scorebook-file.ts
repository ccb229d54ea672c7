import { isKnown } from "../../src/belt-test/scorebook/entry.ts";
import { countOf } from "../../src/belt-test/scorebook/place-counts.ts";
import { scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import { weighing } from "../../src/belt-test/verdict/weighing.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { sideDigest } from "../../src/line/make-side-record.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aTestDay } from "../builders/a-test-day.ts";

/** A small belt test, marked and locked by two judges: everybody Meets, the third candidate is absent. `more` writes on. */
export function aScorebookFile(more: (day: ReturnType<typeof aTestDay>) => AnyEntry[] = () => []) {
  const day = aTestDay({ judges: 2 });
  const [first, second, third] = day.candidates;
  if (!first || !second || !third) throw new Error("a day without candidates");
  const marked = day.judges.flatMap(({ pen, person }) =>
    day.rubric.sections.flatMap((section): AnyEntry[] => [
      ...weighing(day.rubric)
        .cells.filter(({ place }) => place.section === section.id)
        .map(({ place: { item, side, criterion }, top }) =>
          pen.write("mark", {
            section: section.id,
            item,
            side,
            cells: [first, second].map((candidate) => ({
              candidate,
              criterion,
              level: top === 2 ? 2 : 3,
              how: "tapped" as const,
            })),
          }),
        ),
      pen.write("locked", {
        section: section.id,
        candidates: [first, second],
        // Also of what is written after it, in every count.
        basis: Object.fromEntries(
          [first, second].flatMap((candidate) => {
            const device = `${person}-tablet` as DeviceId;
            return [[countOf(device, { candidate, section: section.id }), 99]];
          }),
        ),
      }),
    ]),
  );
  const side: SideRecord = {
    id: "side-1" as SideRecord["id"],
    grading: aGradingId,
    about: "judge-1" as SideRecord["about"],
    kind: "person",
    salt: "0".repeat(32),
    body: { name: "Ines Halvorsen" },
  };
  const details = { id: side.id, digest: sideDigest(side) };
  const plan = day.plan.map(
    (entry): AnyEntry =>
      isKnown(entry) && entry.kind === "seated" && entry.body.person === side.about
        ? { ...entry, body: { ...entry.body, details } }
        : entry,
  );
  const entries = [
    ...plan,
    day.chief.write("absent", { candidate: third }),
    ...marked,
    ...more(day),
  ];
  return { day, file: JSON.parse(JSON.stringify(scorebookFile(aGradingId, entries, [side]))) };
}
