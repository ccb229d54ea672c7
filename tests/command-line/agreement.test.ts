import { describe, expect, it } from "vitest";
import grubbs from "../reference/statistics/grubbs-nist.json" with { type: "json" };
import shroutFleiss from "../reference/statistics/icc-shrout-fleiss.json" with { type: "json" };
import { aFolder, run } from "./run.ts";

// Shrout & Fleiss 1979, doi:10.1037/0033-2909.86.2.420, table 2, as a marks CSV.
const marks = ["candidate,judge,mark"]
  .concat(
    shroutFleiss.data.ratings.flatMap((row, candidate) =>
      row.map((mark, judge) => `c${candidate},j${judge},${mark}`),
    ),
  )
  .join("\n");
const agreement = (csv: string, ...more: string[]) =>
  run(aFolder({ "marks.csv": csv }), ["agreement", "marks.csv", ...more]);
const statistics = (csv: string, ...more: string[]) =>
  run(aFolder({ "values.csv": csv }), ["statistics", "values.csv", ...more]);

interface Answer {
  icc: Record<string, { value: number | null; reason?: string }>;
  [figure: string]: unknown;
}
/** Every number anywhere in an answer. */
const numbersIn = (answer: unknown): number[] =>
  typeof answer === "number"
    ? [answer]
    : answer !== null && typeof answer === "object"
      ? Object.values(answer).flatMap(numbersIn)
      : [];

describe("agreement", () => {
  it("prints the figures of the published panel, under the names of the contract", async () => {
    const { code, out } = await agreement(marks, "--json");
    const answer = JSON.parse(out) as Answer;
    expect(code).toBe(0);
    expect(Object.keys(answer)).toEqual(
      expect.arrayContaining(
        "icc krippendorff kendallW fleissKappa components remlCriterion reliability severity candidates".split(
          " ",
        ),
      ),
    );
    for (const [form, { icc }] of Object.entries(shroutFleiss.expected.forms))
      expect([form, answer.icc[form]?.value]).toEqual([form, expect.closeTo(icc, 6)]);
    expect(Object.keys(answer.icc)).toEqual(Object.keys(shroutFleiss.expected.forms));
  });

  it("names a scorebook file for what it is, where a table is needed", async () => {
    const folder = aFolder({ "book.json": { format: "evenhand-scorebook" } });
    const { code, err } = await run(folder, ["agreement", "book.json"]);
    expect(code).toBe(2);
    expect(err).toContain("book.json: this is JSON");
  });

  it("reads the same in a table of 80 columns", async () => {
    const { out } = await run(
      aFolder({ "marks.csv": marks }),
      ["agreement", "marks.csv"],
      undefined,
      80,
    );
    expect(out).toMatch(/ICC\(2,1\)\s+0\.290/);
    for (const line of out.split("\n")) expect(line.length).toBeLessThanOrEqual(80);
  });

  it.each([
    ["one judge", "candidate,judge,mark\na,x,3\nb,x,4"],
    ["one candidate", "candidate,judge,mark\na,x,3\na,y,4"],
    ["everybody the same mark", "candidate,judge,mark\na,x,3\na,y,3\nb,x,3\nb,y,3"],
  ])("says why, and never a number that means nothing: %s", async (_, csv) => {
    const { code, out } = await agreement(csv, "--json");
    const answer = JSON.parse(out) as Answer;
    expect(code).toBe(0);
    expect(out).not.toMatch(/NaN|Infinity/);
    expect(numbersIn(answer).every(Number.isFinite)).toBe(true);
    expect(answer.icc["ICC(2,1)"]).toMatchObject({
      value: null,
      reason: expect.stringMatching(/./),
    });
  });

  it.each([
    ["two values for one cell", "a,x,3\na,x,4", /line 3.*line 2/],
    ["no number", "a,x,good", /line 2.*good/],
    ["an unknown effect", "a,x,3\na,y,4", /hat/],
  ])("refuses %s, with its place, and exits 2", async (what, rows, told) => {
    const more = what === "an unknown effect" ? ["--random", "candidate,hat"] : [];
    const { code, out, err } = await agreement(`candidate,judge,mark\n${rows}`, ...more);
    expect([code, out]).toEqual([2, ""]);
    expect(err).toMatch(told);
  });
});

describe("statistics", () => {
  it("finds the outlier of the handbook", async () => {
    const values = ["value", ...grubbs.data.values].join("\n");
    const { code, out } = await statistics(values, "--method", "grubbs", "--json");
    expect(code).toBe(0);
    // NIST/SEMATECH e-Handbook, section 1.3.5.17.1: G = 2.4687, one-sided critical value 2.032.
    expect(JSON.parse(out)).toMatchObject({
      g: expect.closeTo(2.4687, 3),
      oneSided: { critical: expect.closeTo(2.032, 3), outlier: true },
    });
  });

  it.each(
    "algorithm-a grubbs esd mandel cochran weighted-kappa trimmed-mean univariate anova borderline".split(
      " ",
    ),
  )("names the column it misses for %s, and exits 2", async (method) => {
    const { code, err } = await statistics("colour\nred", "--method", method);
    expect(code).toBe(2);
    expect(err).toMatch(/values\.csv, line 1: the column “\w+” is missing/);
  });

  it("says where judges' words put the pass mark, of enough cases, and refuses what is outside", async () => {
    const rows = Array.from(
      { length: 40 },
      (_, at) => `${20 * ((at % 4) + 1) + 15},${(at % 4) + 1}`,
    );
    const csv = ["score,judgement", ...rows].join("\n");
    const { code, out } = await statistics(csv, "--method", "borderline", "--json");
    expect(code).toBe(0);
    // Scores are 20 × judgement + 15: at “borderline”, 2, they are 55.
    expect(JSON.parse(out)).toMatchObject({
      group: { mark: 55, cases: 10 },
      regression: { mark: expect.closeTo(55, 9), cases: 40, share: expect.closeTo(1, 9) },
    });
    const few = await statistics("score,judgement\n50,2", "--method", "borderline", "--json");
    expect(JSON.parse(few.out).group).toEqual({
      mark: null,
      cases: 1,
      error: null,
      reason: "there are too few values",
    });
    const wrong = await statistics("score,judgement\n50,2\n101,3", "--method", "borderline");
    expect([wrong.code, wrong.err]).toEqual([2, expect.stringMatching(/line 3.*101/)]);
  });

  it("names the methods there are", async () => {
    const { code, err } = await statistics("value\n1", "--method", "guess");
    expect(code).toBe(2);
    expect(err).toContain("weighted-kappa");
  });
});
