import { describe, expect, it } from "vitest";
import { sheetInputOf } from "../../../src/belt-test/feedback/sheet-input.ts";
import { sheetOf } from "../../../src/belt-test/feedback/sheet-of.ts";
import type {
  CandidateId,
  CriterionId,
  FaultId,
  ItemId,
  SectionId,
} from "../../../src/belt-test/identity.ts";
import { FaultLibrary } from "../../../src/belt-test/rubric/fault-library.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { caseOf } from "../../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import { questionKeys } from "../../../src/belt-test/verdict/question-keys.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { SideRecordId } from "../../../src/book/identity.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { shippedFaultLibrary } from "../../builders/shipped-rubrics.ts";

const library = FaultLibrary.parse(shippedFaultLibrary);
const candidate = "candidate-1" as CandidateId;
const place = {
  section: "blocks" as SectionId,
  item: "low-block" as ItemId,
  side: null,
  criterion: "chamber" as CriterionId,
};

/** Three judges see the low block's chamber: two at Meets, the first as told, with a fault. */
function day(level: number) {
  const test = aTestDay();
  const marks = test.judges.map(({ pen }, at) =>
    aMark(pen, { item: "low-block", side: null, level: at === 0 ? level : 3 }),
  );
  const pen = test.judges[0]?.pen;
  if (!pen) throw new Error("no judge");
  const fault = pen.write("faults", { candidate, ...place, faults: ["no-preparation" as FaultId] });
  // Before the lock; whoever reads without it reads as if it had not been.
  const cleared = aMark(pen, { item: "low-block", side: null, level: "cleared" });
  const locks = test.judges.flatMap(({ pen: judge }) =>
    test.rubric.sections.map(({ id: section }) =>
      judge.write("locked", {
        section,
        candidates: [candidate],
        basis: {},
      }),
    ),
  );
  const retest = test.chief.write("verdict", {
    candidate,
    result: "retest",
    retestSections: [place.section],
    computed: "incomplete",
    reason: { id: "side-1" as SideRecordId, digest: "0".repeat(64) },
    basis: {},
  });
  const marked = [...test.plan, ...marks, fault];
  return { ...test, marked, entries: [...marked, ...locks, retest], retest, cleared };
}
/** By the same door as the screens and the family's page. */
function readBy(entries: readonly AnyEntry[], who = candidate) {
  const book = fold(entries);
  return {
    input: sheetInputOf(book, who, outcome(caseOf(book, candidate)), library),
    page: sheetOf(book, who, outcome(caseOf(book, candidate)), library)?.sheet,
  };
}

describe("the scorebook, read for a sheet", () => {
  it("[F3] brings the marks and faults that stand", () => {
    const { page } = readBy(day(1).entries);
    expect(page?.next[0]).toMatchObject({
      key: "below/chamber/block/no-preparation",
      where: [{ title: "Low block" }],
    });
    expect(page?.gradedOn).toBe("2026-06-06");
  });

  it("[F3] leaves out a mark that the chief struck, and its faults", () => {
    const { entries, chief } = day(1);
    const struck = chief.write("review-settled", {
      candidate,
      question: questionKeys.levelGap(place),
      decision: "struck",
      judge: anId("judge-1"),
      reason: { id: anId("why"), digest: "0".repeat(64) },
    });
    const { input, page } = readBy([...entries, struck]);
    expect(input?.marks).toHaveLength(2);
    expect(input?.faults).toEqual([]);
    expect(JSON.stringify(page)).not.toContain("no-preparation");
  });

  it("[F3] leaves out faults whose mark was taken back", () => {
    const { entries, cleared } = day(1);
    expect(readBy(entries).input?.faults).toHaveLength(1);
    expect(readBy([...entries, cleared]).input?.faults).toEqual([]);
  });

  it("[F3] leaves out what is not open yet", () => {
    const { marked, retest } = day(1);
    expect(readBy([...marked, retest]).input).toMatchObject({ marks: [], faults: [] });
  });

  it("[F6] lets the issued verdict speak, and makes no page before it", () => {
    const { entries, retest } = day(1);
    expect(readBy(entries.filter((entry) => entry !== retest)).page).toBeUndefined();
    const { page } = readBy(entries);
    expect(page?.retest?.repeat.map(({ id }) => id)).toEqual(["blocks"]);
    expect(page?.retest?.kept.map(({ id }) => id)).toEqual(["etiquette"]);
  });

  it("[F6] neither keeps nor repeats a section that was excused whole", () => {
    const { entries, chief, rubric } = day(1);
    const etiquette = rubric.sections.find(({ id }) => (id as string) === "etiquette");
    const excused = (etiquette?.items ?? []).map(({ id }) =>
      chief.write("excused", {
        candidate,
        section: "etiquette" as SectionId,
        item: id,
        why: "chief",
      }),
    );
    expect(readBy([...entries, ...excused]).page?.retest?.kept).toEqual([]);
  });

  it("[F7] brings the chief's choice", () => {
    const { entries, chief } = day(1);
    const edited = chief.write("sheet-edited", { candidate, strong: [], next: [] });
    expect(readBy([...entries, edited]).page).toMatchObject({ strong: [], next: [] });
  });

  it("[F8] knows who withdrew, and makes no page for whoever was never there", () => {
    const { marked, chief } = day(1);
    const away = [
      chief.write("withdrawn", { candidate, why: "hurt" }),
      chief.write("absent", { candidate }),
      chief.write("unfit", { candidate }),
    ].map((entry) => readBy([...marked, entry]).input?.result);
    expect(away).toEqual(["withdrawn", undefined, undefined]);
  });

  it("[F8] there is no sheet for a stranger", () => {
    expect(readBy(day(1).entries, "nobody" as CandidateId).page).toBeUndefined();
  });
});
