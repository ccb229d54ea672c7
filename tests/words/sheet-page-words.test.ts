import { describe, expect, it } from "vitest";
import { type SheetInput, sheet } from "../../src/belt-test/feedback/sheet.ts";
import { FaultLibrary } from "../../src/belt-test/rubric/fault-library.ts";
import { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import type { Place } from "../../src/belt-test/scorebook/cell.ts";
import sheetWords from "../../src/words/en/sheet.json" with { type: "json" };
import { sayIn } from "../../src/words/say.ts";
import { lineWords, sheetPageWords } from "../../src/words/sheet-page-words.ts";
import { allMarks } from "../builders/all-marks.ts";
import { shippedFaultLibrary, shippedRubrics } from "../builders/shipped-rubrics.ts";
import { readingGrade } from "../tools/reading-grade.ts";

const library = FaultLibrary.parse(shippedFaultLibrary);
const rubrics = shippedRubrics.map(({ json }) => Rubric.parse(json));
const say = sayIn(sheetWords);
const results = ["pass", "retest", "incomplete", "withdrawn", "absent"] as const;

const plain = { faults: [], excused: [], result: "pass", gradedOn: "2026-06-06" } as const;
const isDone = ({ criterion }: Place) => (criterion as string) === "done";
const levels: Record<string, (place: Place) => number | undefined> = {
  blank: () => undefined,
  lowest: () => 1,
  meets: (place) => (isDone(place) ? 2 : 3),
  top: (place) => (isDone(place) ? 2 : 4),
  mixed: (place) => (isDone(place) ? 1 : (`${place.item}${place.criterion}`.length % 4) + 1),
};

const pages = rubrics.flatMap((rubric) =>
  results.flatMap((result) =>
    Object.values(levels).flatMap((levelOf) =>
      [library, { ...library, faults: [], practice: [] }].map((shelf) => {
        const sections = rubric.sections.map(({ id }) => id);
        const marks = allMarks(rubric, levelOf);
        const input: SheetInput = {
          rubric,
          marks,
          faults: [],
          excused: [],
          result,
          sections,
          repeat: sections.filter((_, at) => at % 2 === 1),
          gradedOn: "2026-06-06",
          library: shelf,
        };
        return { rubric, result, words: sheetPageWords(sheet(input), say) };
      }),
    ),
  ),
);
const textOf = (value: unknown): string =>
  typeof value === "string"
    ? value
    : Object.values(value ?? {})
        .map(textOf)
        .join("\n");

describe("the words of a sheet", () => {
  it("[F8] fill every hole of every sentence", () => {
    for (const { words } of pages)
      expect(textOf(words)).not.toMatch(/[{}]|undefined|null|: \.|: $/m);
  });

  it("write a second technique small inside a sentence, and a form by its name", () => {
    const line = (group: "block" | "form" | "kick", ...titles: string[]) =>
      lineWords(
        {
          key: "met-all",
          kind: "met-all",
          group,
          criterion: null,
          where: titles.map((title, at) => ({ title, side: at === 1 ? "left" : null })),
          praise: null,
          seen: null,
          cue: null,
          practice: null,
          traces: [],
        },
        "junior",
        say,
      );
    expect(line("block", "Rising block", "Low block", "X-block")).toBe(
      "Rising block, low block (left side) and X-block: you did what this belt asks.",
    );
    expect(line("form", "First practice form", "Heian first form", "Bassai Dai")).toMatch(
      /^First practice form, Heian first form \(left side\) and Bassai Dai:/,
    );
    const german = sayIn(sheetWords, {
      locale: "de-DE",
      translated: { sheet: { "list.inside": "keep" } },
    });
    const kept = {
      key: "k",
      kind: "met-all",
      group: "block",
      criterion: null,
      where: ["Tiefblock", "Hochblock"].map((title) => ({ title, side: null })),
      praise: null,
      seen: null,
      cue: null,
      practice: null,
      traces: [],
    } as const;
    expect(lineWords(kept, "adult", german)).toMatch(/^Tiefblock und Hochblock:/);
  });

  it("[F5] have no figure for a child but the date and the rank", () => {
    for (const { rubric, words } of pages.filter(({ rubric }) => rubric.audience === "junior")) {
      const bare = textOf(words)
        .replaceAll(rubric.to.title, "")
        .replaceAll(/\d{1,2} (?:June|July) \d{4}/g, "");
      expect(bare).not.toMatch(/\d/);
    }
  });

  it("[F5] compare a child with nobody, and praise what was done, not who did it", () => {
    const english = Object.entries(sheetWords).map(([, message]) => message);
    const cues = library.practice.flatMap(({ strong = "", childStrong = "" }) => [
      strong,
      childStrong,
    ]);
    for (const text of [...english, ...cues])
      expect(text).not.toMatch(
        /\b(others|average|class(?:mates)?'? best|rank(?:ed|ing)|talent|gifted|natural|clever|smart)\b/i,
      );
  });

  it("[F6] write the dates out, whatever time zone the machine is in", () => {
    const retests = pages.filter(
      ({ result, rubric }) => result === "retest" && rubric.audience === "junior",
    );
    for (const { words } of retests) {
      expect(words.gradedOn).toBe("6 June 2026");
      expect(words.retest?.from).toBe("You can try again from 4 July 2026.");
    }
  });

  it("[F8] never say that nothing was good or nothing short because a chief wants no line", () => {
    for (const rubric of rubrics) {
      const marks = allMarks(rubric, (place) =>
        isDone(place) ? 2 : (place.section as string) === "kicks" ? 1 : 3,
      );
      const sections = rubric.sections.map(({ id }) => id);
      const chosen = { strong: [], next: [] };
      const page = sheet({ rubric, marks, sections, repeat: [], chosen, library, ...plain });
      expect(sheetPageWords(page, say)).toMatchObject({ strong: [], next: [], task: null });
    }
  });

  it("[F8] say what is true where there is no line", () => {
    const wordsOf = (levelOf: (place: Place) => number | undefined) => {
      const rubric = rubrics.find(({ audience }) => audience === "junior");
      if (!rubric) throw new Error("no junior rubric");
      const sections = rubric.sections.map(({ id }) => id);
      const marks = allMarks(rubric, levelOf);
      return sheetPageWords(sheet({ rubric, marks, sections, repeat: [], library, ...plain }), say);
    };
    expect(wordsOf(() => undefined)).toMatchObject({
      strong: ["The judges did not mark you this time."],
      next: [],
    });
    expect(wordsOf(() => 1).strong).toEqual(["You took the test. Now you know what to work on."]);
    expect(wordsOf((place) => (isDone(place) ? 2 : 4)).next).toEqual([
      "The judges found nothing to fix today. Keep coming to class.",
    ]);
  });

  it("[F8] say that somebody withdrew or was absent without a word of failing", () => {
    for (const { words } of pages.filter(
      ({ result }) => result === "withdrawn" || result === "absent",
    )) {
      expect(words.result).not.toMatch(/fail|pass/i);
      expect(words.next).toEqual([]);
    }
  });

  // Domain practice: a child's sheet at the reading of grade 3 to 4; a single short sentence may read one grade higher.
  it("[F9] read at the grade of a child of nine", () => {
    const ours = Object.entries(sheetWords)
      .filter(([key]) => key.endsWith(".junior"))
      .map(([, message]) => message.replaceAll(/\{[a-z]+\}/g, "kick"));
    const schools = [
      ...library.faults.map(({ childCue }) => childCue),
      ...library.practice.flatMap(({ childStrong, childCue, childPractice }) => [
        ...(childStrong ? [childStrong] : []),
        childCue,
        childPractice,
      ]),
    ];
    for (const text of [...ours, ...schools])
      expect(readingGrade(text), text).toBeLessThanOrEqual(5);
    expect(readingGrade(ours.join(" "))).toBeLessThanOrEqual(4);
    expect(readingGrade(schools.join(" "))).toBeLessThanOrEqual(4);
    // The measure itself can tell: a sentence no child should meet.
    expect(
      readingGrade("The examination committee deliberated regarding certification."),
    ).toBeGreaterThan(12);
  });
});
