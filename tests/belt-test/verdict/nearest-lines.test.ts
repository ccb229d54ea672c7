import { describe, expect, it } from "vitest";
import { nearestLines } from "../../../src/belt-test/verdict/nearest-lines.ts";
import type { Outcome, SectionOutcome } from "../../../src/belt-test/verdict/outcome.ts";

const section = (id: string, percent: number | null, floor: number, isExcused = false) =>
  ({
    id,
    floor,
    isExcused,
    score: percent === null ? null : { exact: "", percent },
  }) as unknown as SectionOutcome;
const score: Outcome["score"] = { exact: "", percent: 62 };

// Worked by hand.
describe("the lines nearest to a result", () => {
  it("[V33] is the section least above its floor, whatever its score", () => {
    const sections = [section("kata", 50, 30), section("kicks", 55, 45), section("blocks", 80, 60)];
    expect(nearestLines({ score, sections }, 60)).toEqual({
      total: 2,
      section: { id: "kicks", apart: 10 },
    });
  });
  it("is the one most below, once one is", () => {
    const sections = [section("kata", 29, 30), section("kicks", 40, 45)];
    expect(nearestLines({ score, sections }, 60).section).toEqual({ id: "kicks", apart: -5 });
  });
  it("looks at no section without a floor, without a score or excused", () => {
    const sections = [section("a", 1, 0), section("b", null, 40), section("c", 41, 40, true)];
    expect(nearestLines({ score: null, sections }, 60)).toEqual({ total: null, section: null });
  });
});
