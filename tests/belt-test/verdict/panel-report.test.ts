import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { MarkedCandidate } from "../../../src/belt-test/verdict/panel-marks.ts";
import { panelReport } from "../../../src/belt-test/verdict/panel-report.ts";
import { panelSeverity } from "../../../src/belt-test/verdict/panel-severity.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import { aRubric } from "../../builders/a-rubric.ts";
import { marksByJudges } from "../../builders/marks-by-judges.ts";

const rubric = aRubric();
const judge = (one: number) => `judge-${one}` as PersonId;

/** Every candidate marked by the judges that `whom` gives; `level` is asked cell by cell. */
function given(
  candidates: number,
  whom: (candidate: number) => readonly number[],
  level: (judge: number, candidate: number, at: number) => number,
): MarkedCandidate[] {
  return Array.from({ length: candidates }, (_, place) => {
    const candidate = `candidate-${place + 1}` as CandidateId;
    return {
      candidate,
      rubric,
      marks: marksByJudges(rubric, candidate, whom(place), (one, at) => level(one, place, at)),
    };
  });
}
const report = (marks: readonly MarkedCandidate[]) =>
  panelReport(marks, panelSeverity(marks), (who) => Math.ceil(Number(who.split("-")[1]) / 4));
const three = () => [1, 2, 3];
/** Differences that belong to nobody. */
const noise = (one: number, candidate: number, at: number) =>
  Math.sin(17 * one + 5 * candidate + 29 * at) > 0.6 ? 1 : 0;
const standings = (marks: readonly MarkedCandidate[]) =>
  report(marks).judges.map(({ standing }) => standing);

describe("what is said of each judge", () => {
  it("[V26] severe and lenient judges are named, and those between are like the others", () => {
    const marks = given(
      12,
      three,
      (one, candidate, at) =>
        2 +
        noise(one, candidate, at) +
        (one === 1 && at % 2 === 0 ? -1 : one === 3 && at % 2 ? 1 : 0),
    );
    expect(standings(marks)).toEqual(["severe", "like-others", "lenient"]);
    expect(report(marks).nextSteps.slice(0, 2)).toEqual([
      { kind: "severe", judge: "judge-1" },
      { kind: "lenient", judge: "judge-3" },
    ]);
  });
  it("[V26] nobody is, where only chance parts them", () => {
    const marks = given(12, three, (one, candidate, at) => 2 + noise(one, candidate, at));
    expect(standings(marks)).toEqual(["like-others", "like-others", "like-others"]);
  });
  it("[V26] nothing is said of five candidates", () => {
    const marks = given(5, three, (one, candidate, at) =>
      one === 1 ? 1 : 3 + noise(one, candidate, at),
    );
    expect(standings(marks)).toEqual(["too-little", "too-little", "too-little"]);
  });
  it("[V26] counts candidates whom somebody else marked too, not all that were marked", () => {
    // The first judge marks twelve, the others five of them.
    const marks = given(
      12,
      (candidate) => (candidate < 5 ? [1, 2, 3] : [1]),
      (one, candidate, at) => (one === 1 ? 1 : 2 + noise(one, candidate, at)),
    );
    expect(report(marks).judges[0]).toMatchObject({
      candidates: 12,
      shared: 5,
      standing: "too-little",
    });
  });
  it("[V26] tells more than chance from more than judges commonly differ", () => {
    // Lower in every third cell; lower in all but one.
    const lowerIn = (is: (at: number) => boolean) =>
      report(
        given(24, three, (one, candidate, at) =>
          one === 1 && is(at) ? 1 : 2 + noise(one, candidate, at),
        ),
      ).judges[0];
    const some = lowerIn((at) => at % 3 === 0);
    expect(some).toMatchObject({
      standing: "severe",
      severity: { against: "others", isBeyondChance: true, isBeyondCommon: false },
    });
    const all = lowerIn((at) => at !== 0);
    expect(all).toMatchObject({ standing: "severe", severity: { isBeyondCommon: true } });
  });
  it("[V26] a difference is notable by its part of the scale, not by its levels", () => {
    // The same marks on a scale of four and of seven: .17 of a level is notable there and not here (.2 × ¾ = .15, .2 × 6/4 = .3).
    const long = aRubric({
      scale: {
        meetsLevel: 3,
        levels: Array.from({ length: 7 }, (_, at) => ({
          title: `Level ${at + 1}`,
          points: (100 * at) / 6,
        })),
      },
    });
    const marks = given(40, three, (one, _, at) => (one === 1 && at % 4 === 0 ? 2 : 3));
    const size = report(marks).judges[0]?.severity?.value ?? 0;
    expect(size).toBeGreaterThan(0.15);
    expect(size).toBeLessThan(0.3);
    expect(standings(marks)[0]).toBe("severe");
    expect(standings(marks.map((one) => ({ ...one, rubric: long })))[0]).toBe("like-others");
  });
  it("[V27] a judge who gave everybody the same is named first", () => {
    const marks = given(12, three, (one, candidate, at) =>
      one === 2 ? 3 : 2 + ((candidate + at) % 2) - (one === 1 && at % 3 === 0 ? 1 : 0),
    );
    const found = report(marks);
    expect(found.judges[1]).toMatchObject({ standing: "flat", sameShare: 1 });
    expect(found.nextSteps[0]).toEqual({ kind: "flat", judge: "judge-2" });
  });
  it("[V29] drift is told wave by wave, positive where a judge marks lower than the others", () => {
    const marks = given(8, three, (one, candidate) => (one === 1 && candidate >= 4 ? 2 : 3));
    const [first, second] = report(marks).judges;
    // Ten cells a candidate of which eight are performed and two are done or not: those are equal.
    expect(first?.drift.map(({ wave, apart }) => [wave, apart])).toEqual([
      [1, 0],
      [2, expect.closeTo(first?.drift[1]?.apart ?? 0, 12)],
    ]);
    expect(first?.drift[1]?.apart).toBeGreaterThan(0.7);
    expect(second?.drift[1]?.apart).toBeLessThan(-0.3);
  });
});

describe("what else is odd about a judge", () => {
  it("[V26] own students marked higher are told, and what to do comes before severity", () => {
    const marks = given(
      16,
      three,
      (one, candidate, at) =>
        2 + noise(one, candidate, at) + (one === 2 && candidate % 2 === 0 && at % 2 === 0 ? 1 : 0),
    );
    const isOwn = (who: PersonId, candidate: CandidateId) =>
      who === judge(2) && Number(candidate.split("-")[1]) % 2 === 1;
    const found = panelReport(marks, panelSeverity(marks), () => 1, isOwn);
    expect(found.judges.map(({ odd }) => odd.map(({ name }) => name))).toEqual([
      [],
      ["own-students"],
      [],
    ]);
    expect(found.judges[1]?.odd[0]?.value).toBeGreaterThan(0.2);
    expect(found.nextSteps[0]).toMatchObject({ kind: "odd", judge: "judge-2" });
    expect(panelReport(marks, panelSeverity(marks), () => 1).judges[1]?.odd).toEqual([]);
  });
  it("[V26] nobody is odd where only chance parts them, and nothing is said of five candidates", () => {
    const marks = given(12, three, (one, candidate, at) => 2 + noise(one, candidate, at));
    expect(report(marks).judges.flatMap(({ odd }) => odd)).toEqual([]);
    const few = given(5, three, (one, candidate, at) =>
      one === 1 ? (candidate % 4) + 1 : 2 + (at % 2),
    );
    expect(report(few).judges.flatMap(({ odd }) => odd)).toEqual([]);
  });
});

describe("how fast a judge marked", () => {
  it("[E6] is a question among what to do next, for who is far faster than the others", () => {
    const marks = given(12, three, (one, candidate, at) => 2 + noise(one, candidate, at));
    const strokes = new Map(
      three().map((one) => [
        judge(one),
        Array.from({ length: 20 }, (_, i) => ({
          device: `device-${one}`,
          lamport: i + 1,
          atMs: (one === 2 ? 2000 : 15_000) * i,
          place: `${i}`,
        })),
      ]),
    );
    const found = panelReport(marks, panelSeverity(marks), () => 1, undefined, strokes);
    expect(found.judges[1]?.pace).toEqual({
      places: 19,
      medianSeconds: 2,
      quickShare: 1,
      isHasty: true,
    });
    expect(found.nextSteps).toContainEqual({ kind: "hasty", judge: "judge-2" });
    expect(found.nextSteps.filter(({ kind }) => kind === "hasty")).toHaveLength(1);
    expect(report(marks).judges[1]?.pace).toEqual({ reason: "no-times" });
  });
});

describe("how the panel agrees", () => {
  it("[V28] is not said below twenty shared performances", () => {
    const few = given(1, three, () => 3);
    expect(report(few).agreement).toEqual({
      reason: "too-few",
      shared: few[0]?.marks.length ? few[0].marks.length / 3 : 0,
      needed: 20,
    });
    // Worked by hand: the third judge alone is a level lower everywhere but on the two lists, so of each three pairs one is the same.
    const enough = given(12, three, (one) => (one === 3 ? 2 : 3));
    const { agreement } = report(enough);
    if (!("exact" in agreement)) throw new Error("an agreement");
    const cells = (few[0]?.marks.length ?? 0) / 3;
    expect(agreement.exact).toBeCloseTo(((cells - 2) / 3 + 2) / cells, 12);
    expect(agreement.adjacent).toBe(1);
  });
  it("[V29] says who saw whom and which judges can be compared", () => {
    const apart = given(
      8,
      (candidate) => (candidate < 4 ? [1, 2] : [3, 4]),
      (one, candidate, at) => 2 + noise(one, candidate, at),
    );
    const found = report(apart);
    expect(found.groups).toEqual([
      ["judge-1", "judge-2"],
      ["judge-3", "judge-4"],
    ]);
    expect(found.seen[0]).toEqual({ candidate: "candidate-1", judges: ["judge-1", "judge-2"] });
    expect(found.nextSteps[0]).toMatchObject({ kind: "link" });
    expect(report(given(8, three, noise).map((one) => one)).groups).toHaveLength(1);
  });
});
