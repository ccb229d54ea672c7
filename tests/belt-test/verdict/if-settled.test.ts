import { describe, expect, it } from "vitest";
import { ifSettled } from "../../../src/belt-test/verdict/if-settled.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aCase } from "../../builders/a-case.ts";

const relation = "relation/judge-2";
const from = aCase({ level: (place, judge) => (place.criterion === "done" ? 2 : judge + 1) });
const struck = { question: relation, decision: "struck" as const, judge: "judge-2" as PersonId };

describe("what a result would be were a question settled", () => {
  it("[V34] is what it is once it has been", () => {
    expect(ifSettled(from, struck)).toEqual(outcome({ ...from, settlements: [struck] }));
    expect(ifSettled(from, struck).score).not.toEqual(outcome(from).score);
  });
  it("takes back what the same question was settled as before", () => {
    const before = { ...from, settlements: [struck] };
    expect(ifSettled(before, { question: relation, decision: "stands" }).score).toEqual(
      outcome(from).score,
    );
  });
});
