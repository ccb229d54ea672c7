import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import type { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import {
  replacementOf,
  rubricMisfit,
} from "../../../src/belt-test/scorebook/rubric-replacement.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const head = { person: "chief" as PersonId, roles: ["chief" as const] };
const reason = { id: anId("words"), digest: "0".repeat(64) };
const blocks = aRubric().sections[0] as Rubric["sections"][0];
const etiquette = aRubric().sections[1] as Rubric["sections"][0];
/** Version 2: no low block, a third knock of etiquette, a higher pass mark. */
const aNewer = (changes: Parameters<typeof aRubric>[0] = {}) =>
  aRubric({
    version: 2,
    sections: [
      { ...blocks, items: blocks.items.slice(0, 1) },
      {
        ...etiquette,
        items: [...etiquette.items, { id: anId("bows-out"), title: "Bows", group: "etiquette" }],
      },
    ],
    pass: { mark: 65 },
    ...changes,
  });

describe("replacing a rubric", () => {
  it("[S17] names what loses its place, what is asked anew and which rules change", () => {
    const book = fold(aMarkedDay().entries);
    const { candidates, displaced, asked, rules } = replacementOf(book, aNewer());
    expect(candidates).toHaveLength(3);
    // Three judges on three candidates: nine marks of each of the low block's two criteria.
    expect(displaced.map(({ place, marks }) => [place.item, place.criterion, marks])).toEqual([
      ["low-block", "chamber", 9],
      ["low-block", "target", 9],
    ]);
    expect(asked.map(({ item, criterion }) => [item, criterion])).toEqual([["bows-out", "done"]]);
    expect(rules).toEqual(["pass"]);
    const heavier = aNewer({ sections: [{ ...blocks, weight: 5, floor: 50 }, etiquette] });
    expect(replacementOf(book, heavier).rules).toEqual(["weights", "floors", "pass"]);
    const gated = aRubric({
      version: 2,
      sections: [
        { ...blocks, items: blocks.items.map((item) => ({ ...item, minimumAge: 14 })) },
        etiquette,
      ],
    });
    expect(replacementOf(book, gated).rules).toEqual(["ages"]);
    const same = replacementOf(book, aRubric({ version: 2 }));
    expect([same.displaced, same.asked, same.rules]).toEqual([[], [], []]);
  });

  it("[S17] counts closed marks by their coverage, each once", () => {
    const cell = (judge: string) => ({
      judge: judge as PersonId,
      candidate: "candidate-1" as CandidateId,
      place: {
        section: anId("blocks"),
        item: anId("low-block"),
        side: null,
        criterion: anId("chamber"),
      },
    });
    const closed = [cell("judge-1"), cell("judge-1"), cell("judge-2")];
    const { displaced } = replacementOf(fold(aTestDay().plan), aNewer(), closed);
    expect(displaced.map(({ marks }) => marks)).toEqual([2]);
  });

  it("[S17] refuses what does not fit: a stranger, an older one, another rank, another scale over marks, a test with a verdict", () => {
    const { day, entries } = aMarkedDay();
    const book = fold(entries);
    const { scale, to } = aRubric();
    const short = { levels: scale.levels.slice(0, 3), meetsLevel: 2 };
    const criteria = aRubric().criteria.map((one) => ({
      ...one,
      descriptors: one.descriptors.slice(0, 3),
    }));
    expect(rubricMisfit(book, aNewer())).toBeNull();
    expect(rubricMisfit(book, aNewer({ id: "another" }))).toBe("unknown");
    expect(rubricMisfit(book, aNewer({ version: 1 }))).toBe("not-newer");
    expect(rubricMisfit(book, aNewer({ to: { ...to, id: "kyu-7" } }))).toBe("other-rank");
    expect(rubricMisfit(book, aNewer({ scale: short, criteria }))).toBe("other-scale");
    expect(rubricMisfit(fold(day.plan), aNewer({ scale: short, criteria }))).toBeNull();

    const replaced = (rubric: Rubric) => day.chief.write("rubric-replaced", { rubric, reason });
    expect(refusal(book, head, replaced(aNewer()))).toBeNull();
    expect(refusal(book, head, replaced(aNewer({ id: "another" })))?.code).toBe("RUBRIC_UNKNOWN");
    expect(refusal(book, head, replaced(aNewer({ version: 1 })))?.code).toBe("RUBRIC_MISFIT");
    const again = day.chief.write("frozen", { rubric: aNewer() });
    expect(refusal(book, head, again)?.code).toBe("REASON_MISSING");
    const verdict = day.chief.write("verdict", {
      candidate: "candidate-1" as CandidateId,
      result: "pass",
      retestSections: [],
      computed: "pass",
      basis: {},
    });
    const issued = fold([...entries, verdict]);
    expect(refusal(issued, head, replaced(aNewer()))?.code).toBe("VERDICT_ISSUED");
  });

  it("[S17] leaves displaced marks in the book and out of the score", () => {
    const one = "candidate-1" as CandidateId;
    // The low block alone is weak: without it everything meets.
    const { day, entries } = aMarkedDay({
      levelOf: (_, { section, item }) =>
        section === "etiquette" ? 2 : item === "low-block" ? 1 : 3,
    });
    const rubric = aNewer({
      sections: [{ ...blocks, items: blocks.items.slice(0, 1) }, etiquette],
    });
    const book = fold([...entries, day.chief.write("rubric-replaced", { rubric, reason })]);
    expect(book.marks.of(one, "now").some(({ item }) => item === "low-block")).toBe(true);
    const outcome = new Reconciler(book).outcome(one);
    // By hand: blocks 66.7, etiquette 100, weights 3 and 1: (3 × 66.7 + 100) / 4 = 75.025.
    expect(outcome?.scoreRounded).toBe(75);
    expect(outcome?.computed).toBe("pass");
  });
});
