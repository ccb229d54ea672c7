import { describe, expect, it } from "vitest";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { Outcome } from "../../../src/belt-test/verdict/outcome.ts";
import { sureInWords } from "../../../src/tablet/screens/candidate/sure-in-words.ts";
import sureWords from "../../../src/words/en/sure.json" with { type: "json" };
import { sayIn } from "../../../src/words/say.ts";

const told = {
  candidate: "c",
  notebook: { sides: new Map(), book: fold([]) },
  rubric: { pass: { mark: 60 }, sections: [{ id: "kicks", title: "Kicks" }] },
} as never;
const words = (changes: object): string =>
  sureInWords(told, sayIn(sureWords), {
    computed: "pass",
    score: { exact: "", percent: 66.4 },
    sections: [{ id: "kicks", floor: 35, score: { exact: "", percent: 42.1 }, isExcused: false }],
    certainty: { sure: 0.84, pass: 0.84, word: "close" },
    adjusted: null,
    questions: [],
    ...changes,
  } as unknown as Outcome).join(" ");
const below = [{ id: "kicks", floor: 35, score: { exact: "", percent: 33.6 }, isExcused: false }];

describe("how sure a result is, in words", () => {
  it("says how far a pass is from each line it must meet", () => {
    expect(words({})).toMatch(
      /^Of 100 equally good panels, 84 would pass .*\. The total is 6½ points above the pass mark\. Kicks is 7 points above its floor, and no section is nearer\.$/,
    );
  });
  it("says of a clear result that open questions could turn it all the same", () => {
    const questions = [
      { flips: true, isSettled: false },
      { flips: true, isSettled: true },
      { flips: false, isSettled: false },
    ];
    expect(words({ questions })).toMatch(/ One open question could still turn it\.$/);
  });
  it("does not count a result's being too close to call among what could turn it", () => {
    const questions = [{ kind: "doubtful", flips: true, isSettled: false }];
    expect(words({ questions, certainty: { sure: 0.6, pass: 0.6 } })).not.toMatch(/question/);
  });
  it("says first what most panels would do where it is not what today's marks say", () => {
    const against = { computed: "retest", certainty: { sure: 0.32, pass: 0.68 }, sections: below };
    expect(words(against)).toMatch(
      /^Today’s marks say retest, yet about 68 of 100 equally good panels would pass .*\. Kicks is 1½ points below its floor\.$/,
    );
    expect(words({ ...against, adjusted: { computed: "pass" } })).toMatch(
      /A reason: had all judges been equally strict, the result would be the other one\.$/,
    );
  });
  it("says nothing of strictness that would change nothing", () => {
    expect(words({ certainty: { sure: 0.4 }, adjusted: { computed: "pass" } })).not.toMatch(
      /strict/,
    );
  });
});
