import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { agesOut } from "../../../src/belt-test/planning/excused-by-age.ts";
import { ring } from "../../../src/belt-test/planning/ring.ts";
import { script } from "../../../src/belt-test/script/script.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { anId } from "../../builders/an-id.ts";

const mia = "mia" as CandidateId;
const leo = "leo" as CandidateId;
const rubric = aRubric();

describe("the script of a wave", () => {
  it("calls each side, asks once where both sides are marked together, closes the section, and takes a checklist in one", () => {
    const steps = script({ candidates: [{ candidate: mia, rubric }], isExcused: () => false });
    expect(
      steps.map(({ item, side, markedSide, asked }) => [item, side, markedSide, asked]),
    ).toEqual([
      ["rising-block", "left", "left", true],
      ["rising-block", "right", "right", true],
      ["low-block", "left", null, false],
      ["low-block", "right", null, true],
      [null, null, null, true],
      [null, null, null, true],
    ]);
  });

  it("leaves out whoever is excused, and a step nobody performs", () => {
    const candidates = [mia, leo].map((candidate) => ({ candidate, rubric }));
    const one = script({
      candidates,
      isExcused: (candidate, item) => candidate === mia && item === "low-block",
    });
    expect(one.find(({ item }) => item === "low-block")?.candidates).toEqual([leo]);
    const none = script({ candidates, isExcused: (_, item) => item === "low-block" });
    expect(none.some(({ item }) => item === "low-block")).toBe(false);
  });

  it("calls once what two ranks share, and asks each rank only for its own", () => {
    const [blocks] = rubric.sections;
    const higher = aRubric({
      id: anId("yellow-to-orange-junior"),
      sections: [
        {
          ...blocks,
          items: [
            ...(blocks?.items ?? []),
            { id: "inner-block", title: "Inner block", group: "block", criteria: ["target"] },
          ],
        },
      ] as never,
    });
    const steps = script({
      candidates: [
        { candidate: mia, rubric },
        { candidate: leo, rubric: higher },
      ],
      isExcused: () => false,
    });
    expect(steps.filter(({ item }) => item === "rising-block")).toHaveLength(2);
    expect(steps.find(({ item }) => item === "inner-block")?.candidates).toEqual([leo]);
  });

  it("is empty for an empty wave", () => {
    expect(script({ candidates: [], isExcused: () => false })).toEqual([]);
  });
});

describe("who watches whom", () => {
  it("leaves nobody unwatched when the panel can carry the line", () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 12 }),
        fc.integer({ min: 1, max: 9 }),
        fc.integer({ min: 1, max: 6 }),
        (lanes, judges, wave) => {
          const line = Array.from({ length: lanes }, (_, lane) => lane);
          const panel = Array.from({ length: judges }, (_, judge) => `judge ${judge}`);
          const perJudge = Math.ceil(lanes / judges);
          const watched = new Set([...ring(line, panel, perJudge, wave).values()].flat());
          expect(watched.size).toBe(lanes);
        },
      ),
    );
  });

  it("gives six lanes to five judges with two or three judges to each", () => {
    const seats = [...ring([1, 2, 3, 4, 5, 6], ["a", "b", "c", "d", "e"], 3, 1).values()].flat();
    const counts = [1, 2, 3, 4, 5, 6].map((lane) => seats.filter((seat) => seat === lane).length);
    expect(Math.min(...counts)).toBe(2);
    expect(Math.max(...counts)).toBe(3);
  });
});

describe("age gates", () => {
  it("take the younger of the two ages a birth year allows, and the youngest where it is unknown", () => {
    const [blocks] = rubric.sections;
    const gated = aRubric({
      sections: [
        {
          ...blocks,
          items: [
            {
              id: "arm-lock",
              title: "Arm lock",
              group: "self-defence",
              criteria: ["target"],
              minimumAge: 12,
            },
          ],
        },
      ] as never,
    });
    expect(agesOut(gated, 2013, "2026-06-06")).toEqual([]);
    expect(agesOut(gated, 2014, "2026-06-06")).toEqual([{ section: "blocks", item: "arm-lock" }]);
    expect(agesOut(gated, undefined, "2026-06-06")).toHaveLength(1);
  });
});
