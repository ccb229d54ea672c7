import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { at, marksOf } from "../builders/a-case.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { aFolder, run } from "./run.ts";

const header = "candidate,judge,section,item,criterion,mark,side,how";
const rubric = aRubric();

/** Everything Meets and done for each candidate, two judges; `but` gives cells other marks. */
function marksCsv(
  candidates: readonly string[],
  but: Record<string, string | number> = {},
): string[] {
  return candidates.flatMap((candidate) =>
    marksOf(rubric, 2, () => 3).map((mark) => {
      const { judge, section, item, criterion, side } = mark;
      const level =
        but[`${candidate}/${judge}/${at(mark)}`] ??
        but[`${candidate}/${at(mark)}`] ??
        (criterion === "done" ? 2 : 3);
      return [candidate, judge, section, item ?? "", criterion, level, side ?? "", "tapped"].join(
        ",",
      );
    }),
  );
}
const csv = (...lines: string[]) => `${[header, ...lines].join("\n")}\n`;
const reported = async (files: Record<string, string | object>, ...more: string[]) =>
  run(aFolder({ "r.json": rubric, ...files }), [
    "report",
    "marks.csv",
    "--rubric",
    "r.json",
    ...more,
  ]);

describe("report on a marks CSV", () => {
  it("says what the marks come to", async () => {
    const marks = csv(
      // Rising block 1 throughout: (0 + 66.7 + 66.7) / 3 = 44.47 in blocks; (3 × 44.47 + 100) / 4 = 58.35.
      ...marksCsv(["7"]),
      ...marksCsv(
        ["8"],
        Object.fromEntries(
          ["left", "right"].flatMap((side) =>
            ["chamber", "extension", "target"].map((criterion) => [
              `8/blocks/rising-block/${side}/${criterion}`,
              1,
            ]),
          ),
        ),
      ),
    );
    const { code, out } = await reported({ "marks.csv": marks }, "--json");
    expect(code).toBe(0);
    const json = JSON.parse(out);
    expect(json.rubrics).toEqual([{ id: "white-to-yellow-junior", version: 1 }]);
    expect(json.candidates[0]).toMatchObject({
      candidate: "7",
      computed: "pass",
      issued: null,
      score: 75.025,
      scoreRounded: 75,
      certainty: { word: "clear", flatJudges: [], withFlatJudges: null },
    });
    expect(json.candidates[0].certainty.pass).toBeGreaterThan(95);
    expect(json.candidates[0].smallestChange).toMatchObject({ to: "retest", isExact: true });
    expect(json.candidates[1].smallestChange.to).toBe("pass");
    expect(json.candidates[0].certainty.pass).toBeLessThanOrEqual(100);
    expect(json.candidates[1]).toMatchObject({
      candidate: "8",
      computed: "retest",
      scoreExact: "1167/20",
      retestSections: ["blocks"],
    });
    expect(json.candidates[1].sections[0]).toMatchObject({
      id: "blocks",
      floor: 40,
      met: true,
      seen: 1,
    });
    expect(json.candidates[1].panelMarks[0]).toEqual({
      section: "blocks",
      item: "rising-block",
      side: "left",
      criterion: "chamber",
      level: 1,
      exact: "1",
      judges: ["judge-1", "judge-2"],
      used: ["judge-1", "judge-2"],
    });
    expect(json.judges).toEqual(
      ["judge-1", "judge-2"].map((judge) => ({
        judge,
        marks: 24,
        notSeen: 0,
        restShare: 0,
        // Two candidates say nothing of a judge.
        standing: "too-little",
        shared: 2,
        beyondChance: false,
        beyondCommon: false,
        against: "others",
        // Both marked both alike but for one mark: what parts them is nothing.
        severity: expect.closeTo(0, 6),
        se: expect.any(Number),
        flat: false,
        // Paper keeps no time.
        pace: null,
        paceReason: "no-times",
        sameShare: expect.any(Number),
        effects: expect.any(Object),
      })),
    );
    // Two candidates say nothing of anybody's ways.
    expect(json.judges[0].effects.drift).toEqual({ value: null, reason: "too-few-candidates" });
    expect(json.candidates[0]).toMatchObject({ adjusted: null, adjustedReason: "nothing-to-gain" });
    expect(json.adjustment).toEqual({
      outlook: "nothing-to-gain-without-standard",
      hasStandard: false,
      links: [],
    });
    expect(json.agreement.sameMarks.exact).toBe(1);
    expect(json.agreement.icc["ICC(2,1)"].value).toBe(1);
  });

  it.each([100, 80])("prints a table that fits %d columns", async (width) => {
    const folder = aFolder({
      // A pass mark so near that the long name has a question to wrap.
      "r.json": aRubric({ pass: { mark: 74 } }),
      "marks.csv": csv(...marksCsv(["7", "8"], { "7/judge-1/blocks/low-block//chamber": 1 })),
      "roster.csv":
        "candidate,given,family,number\n7,Bartholomew Maximilian,Featherstonehaugh-Smythe,7\n8,美咲,田中,8\n9,Noor,Haddad,9\n",
    });
    const { code, out } = await run(
      folder,
      ["report", "marks.csv", "--rubric", "r.json", "--roster", "roster.csv"],
      undefined,
      width,
    );
    expect(code).toBe(0);
    expect(out).toMatch(/^ +8 美咲 田中 +pass \? +75\.0 {2}lowest: Blocks 66\.7/m);
    expect(out).toMatch(/^ +9 Noor Haddad +absent +–/m);
    for (const line of out.split("\n")) expect([...line].length).toBeLessThanOrEqual(width);
  });

  it("writes results for a spreadsheet, and no cell of it runs as a formula", async () => {
    const folder = aFolder({
      "r.json": rubric,
      "marks.csv": csv(...marksCsv(["=1+1"])),
      "roster.csv": 'candidate,given,family\n=1+1,"=HYPERLINK(""http://evil"")",@SUM\n',
    });
    const { code, err } = await run(folder, [
      "report",
      "marks.csv",
      "--rubric",
      "r.json",
      "--roster",
      "roster.csv",
      "--out",
      "results",
    ]);
    expect(code).toBe(0);
    expect(err).toContain("results.csv");
    const written = readFileSync(join(folder, "results", "results.csv"), "utf8");
    expect(written).toContain("'=1+1\",");
    expect(written).toContain("'=HYPERLINK");
    expect(written).not.toMatch(/\d\.\d{3}/);
    expect(written.split("\r\n").every((line) => !/(^|,)"?[=+@-]/.test(line))).toBe(true);
    expect(
      JSON.parse(readFileSync(join(folder, "results", "results.json"), "utf8")).candidates,
    ).toHaveLength(1);
  });

  describe("and who is too young for an item, or excused from it", () => {
    const gated = aRubric();
    const [blocks] = gated.sections;
    if (!blocks?.items[1]) throw new Error("a rubric without a second block");
    blocks.items[1] = { ...blocks.items[1], minimumAge: 16 };
    /** Nobody shows the low block: half of the section, too little seen to say. */
    const unshown = marksCsv(["7"]).filter((line) => !line.includes("low-block"));
    const of = (roster: string[], marks: string[], ...more: string[]) =>
      run(
        aFolder({
          "r.json": gated,
          "marks.csv": csv(...marks),
          "roster.csv": ["candidate,given,birth-year", ...roster, ""].join("\n"),
        }),
        ["report", "marks.csv", "--rubric", "r.json", "--roster", "roster.csv", ...more],
      );
    const computed = ({ out }: { out: string }) => JSON.parse(out).candidates[0].computed;
    const day = ["--date", "2026-06-06"];

    it("goes by the year of birth and the day, as a test with tablets does", async () => {
      expect(computed(await of(["7,Mia,2017"], unshown, ...day, "--json"))).toBe("pass");
      expect(computed(await of(["7,Mia,2009"], unshown, ...day, "--json"))).toBe("incomplete");
      // Born in 2010 and maybe not sixteen yet: the younger of the two possible ages counts.
      expect(computed(await of(["7,Mia,2010"], unshown, ...day, "--json"))).toBe("pass");
      expect(computed(await of(["7,Mia,2017"], unshown, "--date", "2034-06-06", "--json"))).toBe(
        "incomplete",
      );
    });

    it("asks for the day where it is needed, and only there", async () => {
      const { code, err } = await of(["7,Mia,2017"], unshown);
      expect(code).toBe(2);
      expect(err).toMatch(/roster\.csv, line 2: .*--date/);
      expect((await of(["7,Mia,"], unshown)).code).toBe(0);
      expect(await of(["7,Mia,2017"], unshown, "--date", "6.6.2026")).toMatchObject({
        code: 2,
        err: expect.stringContaining("“6.6.2026” is not a day"),
      });
    });

    it("excuses out of caution where no year is known, and takes what was shown for shown", async () => {
      expect(computed(await of(["7,Mia,"], unshown, "--json"))).toBe("pass");
      const low = marksCsv(["7"]).map((line) =>
        line.includes("low-block") ? line.replace(",3,", ",1,") : line,
      );
      const { out } = await of(["7,Mia,"], low, "--json");
      const { out: excused } = await of(["7,Mia,"], unshown, "--json");
      expect(JSON.parse(out).candidates[0].score).toBeLessThan(
        JSON.parse(excused).candidates[0].score,
      );
    });

    it("says which marks it leaves out because of the age", async () => {
      const { code, out } = await of(["7,Mia,2017"], marksCsv(["7"]), ...day);
      expect(code).toBe(0);
      expect(out.replace(/\s+/g, " ")).toContain(
        "Candidate 7, born 2017, is too young for “low-block” by the rubric: the marks for it are left out.",
      );
    });

    it("can be said in the file, for all judges at once", async () => {
      const { out } = await reported(
        { "marks.csv": csv(...unshown, "7,,blocks,low-block,,excused,,") },
        "--json",
      );
      expect(JSON.parse(out).candidates[0].computed).toBe("pass");
    });

    it.each([
      [
        "marked as well",
        "7,,blocks,low-block,,excused,,",
        marksCsv(["7"]),
        /line \d+: candidate 7 is excused from “low-block” here/,
      ],
      [
        "an item the rubric has not",
        "7,,blocks,flying-kick,,excused,,",
        unshown,
        /line \d+: the rubric .* has no item “flying-kick”/,
      ],
      ["no item", "7,,blocks,,,excused,,", unshown, /line \d+: “item” is empty/],
    ])("refuses an excuse that is %s", async (_, line, marks, sentence) => {
      const { code, err } = await reported({ "marks.csv": csv(...marks, line) });
      expect(code).toBe(2);
      expect(err).toMatch(sentence);
    });
  });

  const good = marksCsv(["7"]);
  it.each([
    [
      "a mark off the scale",
      `${good[0]}`.replace(",3,left", ",5,left"),
      3,
      "levels here go from 1 to 4",
    ],
    ["no mark at all", `${good[0]}`.replace(",3,left", ",,left"), 3, "“mark” is empty"],
    [
      "a mark that is a word",
      `${good[0]}`.replace(",3,left", ",good,left"),
      3,
      "“good” is not a mark",
    ],
    ["a section that is not", "7,j,kicks,front-kick,chamber,3,,", 3, "no section “kicks”"],
    ["an item that is not", "7,j,blocks,front-kick,chamber,3,,", 3, "no item “front-kick”"],
    [
      "a criterion that is not asked",
      "7,j,blocks,low-block,spirit,3,,",
      3,
      "does not mark “spirit” for “low-block”",
    ],
    [
      "a side that is missing",
      "7,j,blocks,rising-block,chamber,3,,",
      3,
      "Fill in the column “side”",
    ],
    ["a side too many", "7,j,blocks,low-block,chamber,3,left,", 3, "Leave the column “side” empty"],
    [
      "two values for one cell",
      `${good[0]}`.replace(",3,left", ",4,left"),
      3,
      "at line 2, and now 4",
    ],
    ["a cell too many", `${good[0]},x`, 3, "more cells than the header"],
  ])("refuses %s, with its line", async (_, line, at, words) => {
    const first = words.startsWith("at line") ? good[0] : good[1];
    const { code, out, err } = await reported({ "marks.csv": csv(`${first}`, line) });
    expect(code).toBe(2);
    expect(out).toBe("");
    expect(err).toContain(`marks.csv, line ${at}: `);
    expect(err).toContain(words);
  });

  it("takes the same line twice as one, and names every bad line at once", async () => {
    const twice = await reported({ "marks.csv": csv(...good, `${good[0]}`) }, "--json");
    expect(JSON.parse(twice.out).judges[0].marks).toBe(12);
    const bad = await reported({ "marks.csv": csv("7,j,x,,a,3,,", ...good, "7,j,y,,a,3,,") });
    expect(bad.err.split("\n")).toHaveLength(2);
    expect(bad.err).toMatch(/line 2: [\s\S]*line 27: /);
  });

  it("names a candidate who is not in the roster, and two lines for one", async () => {
    const stranger = await reported(
      { "marks.csv": csv(...good), "roster.csv": "candidate,given\n8,Mia\n" },
      "--roster",
      "roster.csv",
    );
    expect(stranger).toMatchObject({ code: 2 });
    expect(stranger.err).toContain("line 2: candidate “7” is not in the roster");
    const twice = await reported(
      { "marks.csv": csv(...good), "roster.csv": "candidate,given\n7,Mia\n7,Otto\n" },
      "--roster",
      "roster.csv",
    );
    expect(twice.err).toContain("roster.csv, line 3: candidate “7” is already at line 2");
  });

  it("reads the list a test was set up with too, and names a number twice, a year that is none, a name too long", async () => {
    const listed = await reported(
      {
        "marks.csv": csv(...good),
        "roster.csv": "number,given,family,rubric,birth-year,sounds\n7,Mia,Sand,,2014,MEE-ah\n",
      },
      "--roster",
      "roster.csv",
    );
    expect(listed).toMatchObject({ code: 0, err: "" });
    expect(listed.out).toContain("Mia Sand");
    const bad = await reported(
      {
        "marks.csv": csv(...good),
        "roster.csv": `candidate,given,number,birth-year\n7,Mia,3,2014\n8,Otto,03,20014\n9,${"x".repeat(81)},,\n`,
      },
      "--roster",
      "roster.csv",
    );
    expect(bad.err).toContain("roster.csv, line 3: number 03 is already at line 2");
    expect(bad.err).toContain("line 3: “20014” is not a year of birth");
    expect(bad.err).toMatch(/line 4: “x+…” is longer than 80 letters/);
  });

  it("names each line of a roster by number for what is wrong with it, and no other", async () => {
    const said = async (...lines: string[]) =>
      (
        await reported(
          {
            "marks.csv": csv(...good),
            "roster.csv": ["number,given", ...lines].join("\n"),
          },
          "--roster",
          "roster.csv",
        )
      ).err
        .trim()
        .split("\n");
    const wrong = await said("7,Mia", "x,Otto", "12345,Lena", "7,Ada");
    expect(wrong).toEqual([
      expect.stringContaining("roster.csv, line 3: “x” is not a candidate's number"),
      expect.stringContaining("roster.csv, line 4: “12345” is not a candidate's number"),
      expect.stringContaining("roster.csv, line 5: number 7 is already at line 2"),
    ]);
    const missing = await said("7,Mia", ",Otto", ",Lena");
    expect(missing).toEqual([
      expect.stringContaining("roster.csv, line 3: the number is empty"),
      expect.stringContaining("roster.csv, line 4: the number is empty"),
    ]);
  });

  it("chooses among several rubrics by the roster, else by what fits, else says why not", async () => {
    const other = { ...aRubric(), id: "brown" };
    const files = { "other.json": other, "marks.csv": csv(...good) };
    const unclear = await reported(files, "--rubric", "other.json");
    expect(unclear).toMatchObject({ code: 2 });
    expect(unclear.err).toContain(
      "several rubrics fit candidate “7”: white-to-yellow-junior, brown",
    );
    const named = await reported(
      { ...files, "roster.csv": "candidate,rubric\n7,brown\n" },
      "--rubric",
      "other.json",
      "--roster",
      "roster.csv",
      "--json",
    );
    expect(JSON.parse(named.out).candidates[0].rubric).toBe("brown");
    const unknown = await reported(
      { ...files, "roster.csv": "candidate,rubric\n7,black\n" },
      "--rubric",
      "other.json",
      "--roster",
      "roster.csv",
    );
    expect(unknown.err).toContain("roster.csv, line 2: the rubric “black” was not given");
    const elsewhere = {
      ...aRubric(),
      id: "kicks-only",
      sections: [{ ...aRubric().sections[1], id: "manners" }],
    };
    const fits = await reported(
      { "other.json": elsewhere, "marks.csv": csv(...good) },
      "--rubric",
      "other.json",
      "--json",
    );
    expect(JSON.parse(fits.out).candidates[0].rubric).toBe("white-to-yellow-junior");
  });

  it("looks for rubrics beside it and says so, or asks for one", async () => {
    const { mkdirSync, writeFileSync } = await import("node:fs");
    const folder = aFolder({ "marks.csv": csv(...good) });
    expect((await run(folder, ["report", "marks.csv"])).err).toContain("Add --rubric FILE");
    mkdirSync(join(folder, "scoring-rubrics"));
    writeFileSync(join(folder, "scoring-rubrics", "junior.json"), JSON.stringify(rubric));
    writeFileSync(join(folder, "scoring-rubrics", "faults.json"), "{}");
    const found = await run(folder, ["report", "marks.csv"]);
    expect(found.code).toBe(0);
    expect(found.out).toContain("Rubrics found in ./scoring-rubrics: white-to-yellow-junior");
  });

  it("refuses a rubric that contradicts itself, with its path", async () => {
    const wrong = { ...aRubric(), scale: { ...aRubric().scale, meetsLevel: 9 } };
    const { code, err } = await reported({ "r.json": wrong, "marks.csv": csv(...good) });
    expect(code).toBe(2);
    expect(err).toMatch(/r\.json, scale\.meetsLevel: /);
  });

  it.each([
    ["missing.csv", undefined, "cannot be read"],
    ["marks.csv", "", "names no columns"],
    ["marks.csv", header, "below the header there is no line"],
    ["marks.csv", "candidate,judge\n1,2\n", "the column “section” is missing"],
    ["marks.csv", `${header},belt\n`, "the column “belt” is not known"],
    ["marks.csv", `${header},mark\n`, "the column “mark” is there twice"],
    ["marks.csv", `${header}\n7,j,blocks,"low,chamber,3\n`, "quotation mark"],
  ])("explains a file that is no marks file: %s %j", async (name, content, words) => {
    const folder = aFolder({
      "r.json": rubric,
      ...(content === undefined ? {} : { [name]: content }),
    });
    const { code, err } = await run(folder, ["report", name, "--rubric", "r.json"]);
    expect(code).toBe(2);
    expect(err).toContain(words);
    expect(err).toContain(name);
  });

  it("reads semicolons and a spreadsheet's byte-order mark, and refuses what is not UTF-8", async () => {
    const { writeFileSync } = await import("node:fs");
    const semicolons = `\uFEFF${csv(...good)
      .replaceAll(",", ";")
      .replaceAll("\n", "\r\n")}`;
    expect((await reported({ "marks.csv": semicolons })).code).toBe(0);
    const folder = aFolder({ "r.json": rubric });
    writeFileSync(join(folder, "marks.csv"), Buffer.from([0x63, 0xff, 0xfe, 0x0a]));
    expect((await run(folder, ["report", "marks.csv", "--rubric", "r.json"])).err).toContain(
      "not UTF-8",
    );
    expect(existsSync(join(folder, "results"))).toBe(false);
  });
});
