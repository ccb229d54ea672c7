import { describe, expect, it } from "vitest";
import type { Question, QuestionKind } from "../../src/belt-test/verdict/outcome.ts";
import questionsWords from "../../src/words/en/questions.json" with { type: "json" };
import { effectWords, questionSentence } from "../../src/words/question-sentence.ts";
import { sayIn } from "../../src/words/say.ts";
import { anId } from "../builders/an-id.ts";

const say = sayIn(questionsWords);
const names = {
  section: () => "Blocks",
  item: () => "Rising block",
  criterion: () => "chamber",
  judge: (id: string) => (id === "judge-1" ? "Ines" : "Otto"),
};
const aFlag = (changes: Partial<Question>): Question => ({
  kind: "level-gap",
  key: "k",
  section: "blocks" as NonNullable<Question["section"]>,
  judges: ["judge-1", "judge-2"].map(anId),
  effect: "no-effect",
  flips: false,
  swing: 0,
  isSettled: false,
  ...changes,
});
const kinds: Record<QuestionKind, Partial<Question>> = {
  "level-gap": {
    item: anId("rising-block"),
    side: "left",
    criterion: anId("chamber"),
    gap: 2,
  },
  "overall-split": {},
  "list-split": { cells: 2 },
  "overall-mismatch": {},
  borderline: { gap: -1.25 },
  "lone-dissent": { gap: -1, judges: ["judge-1"].map(anId) },
  "no-quorum": { cells: 3 },
  unseen: { cells: 2 },
  blank: { cells: 1, judges: ["judge-1"].map(anId) },
  relation: { judges: ["judge-1"].map(anId) },
  conflict: { item: null, criterion: anId("spirit"), judges: ["judge-1"].map(anId) },
  late: { cells: 4, judges: ["judge-1"].map(anId) },
  severity: { gap: -2.4, section: undefined },
  doubtful: { gap: 40, section: undefined },
};

describe("the words of review questions", () => {
  it.each(Object.entries(kinds))("%s is one sentence", (kind, changes) => {
    const sentence = questionSentence(
      aFlag({ kind: kind as QuestionKind, ...changes }),
      names,
      say,
    );
    expect(sentence).toMatch(/^\S.*[.?]$/);
    expect(sentence).not.toMatch(/[{}]|undefined/);
  });

  it("says who, where and how far", () => {
    expect(questionSentence(aFlag(kinds["level-gap"]), names, say)).toBe(
      "Ines and Otto are 2 levels apart on chamber of Rising block, left, in Blocks.",
    );
    const judges = ["judge-1", "judge-2", "judge-3"].map(anId);
    expect(
      questionSentence(
        aFlag({ ...kinds["level-gap"], judges, lower: ["judge-1"].map(anId) }),
        names,
        say,
      ),
    ).toBe("Ines is 2 levels below Otto and Otto on chamber of Rising block, left, in Blocks.");
    expect(
      questionSentence(
        aFlag({ ...kinds["level-gap"], judges, lower: ["judge-2", "judge-3"].map(anId) }),
        names,
        say,
      ),
    ).toBe("Otto and Otto are 2 levels below Ines on chamber of Rising block, left, in Blocks.");
    expect(questionSentence(aFlag({ kind: "borderline", gap: -1.25 }), names, say)).toBe(
      "The total is 1½ points below the pass mark: look again.",
    );
    expect(
      questionSentence(aFlag({ kind: "lone-dissent", ...kinds["lone-dissent"] }), names, say),
    ).toBe("Ines marks lower than the rest of the panel in Blocks, by 1.0 of a level on average.");
  });

  it("says which way equally strict judges would move a total", () => {
    expect(questionSentence(aFlag({ kind: "severity", ...kinds.severity }), names, say)).toBe(
      "Had all judges been equally strict, the total would be 2½ points lower, and that would change the result.",
    );
  });

  it("says what settling it could do", () => {
    expect(effectWords(aFlag({ effect: "could-change", flips: true }), say)).toBe(
      "could turn the verdict",
    );
    expect(effectWords(aFlag({ effect: "could-change" }), say)).toBe(
      "could change what is repeated",
    );
    expect(effectWords(aFlag({}), say)).toBe("changes nothing");
  });
});
