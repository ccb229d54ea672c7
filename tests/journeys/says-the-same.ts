import { writeFileSync } from "node:fs";
import { join } from "node:path";
import type { Locator } from "playwright-core";
import { expect } from "vitest";
import type { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import { run } from "../command-line/run.ts";
import type { Hall } from "./hall.ts";
import type { Chief } from "./people/chief.ts";

interface Reported {
  number: number;
  computed: "pass" | "retest" | "incomplete";
  issued: "pass" | "retest" | "withdrawn" | "absent" | null;
  scoreRounded: number | null;
  sections: { id: string; score: number | null; floor: number; met: boolean }[];
  panelMarks: {
    section: string;
    item: string | null;
    side: string | null;
    criterion: string;
    level: number;
    judges: number;
  }[];
}

/** `report --json` on the hub's export, at this moment. */
async function reported(hall: Hall): Promise<{ candidates: Reported[]; rubric: Rubric }> {
  const file = await hall.exported();
  const frozen = file.entries.find(({ kind }) => kind === "frozen") as
    | { body?: { rubric: Rubric } }
    | undefined;
  if (!frozen?.body) throw new Error("reported: no rubric is frozen");
  writeFileSync(join(hall.folder, "export.json"), JSON.stringify(file));
  const { code, out, err } = await run(hall.folder, ["report", "export.json", "--json"]);
  if (code !== 0) throw new Error(`reported: report ended with ${code}: ${err}`);
  const { candidates } = JSON.parse(out) as { candidates: Reported[] };
  return { candidates, rubric: frozen.body.rubric };
}

/** What a page of the chief says of one child, in the figures of a report. */
interface Said {
  result: string;
  total: number | null;
  sections: Record<string, { score: number | null; marks: string[] }>;
}

/** The report's answer, in the words of the candidate's page. */
function ofReport(one: Reported, rubric: Rubric): Said {
  const open = rubric.sections.filter(({ id }) => one.panelMarks.some((m) => m.section === id));
  const isGone = one.issued === "withdrawn" || one.issued === "absent";
  const isOpen = open.length === rubric.sections.length;
  return {
    result: isGone ? `${one.issued}` : (one.issued ?? (isOpen ? one.computed : "closed")),
    total: isOpen && !isGone ? one.scoreRounded : null,
    sections: Object.fromEntries(
      open.map(({ id, title, items, marking }) => {
        const its = one.sections.find((section) => section.id === id);
        const marks = one.panelMarks
          .filter(({ section }) => section === id)
          .map(({ item, side, criterion, level }) => {
            const place = items.find((known) => known.id === item)?.title ?? "The whole section";
            const row =
              marking === "checklist"
                ? place
                : `${place}${side ? `, ${side} side` : ""}, ${rubric.criteria.find((known) => known.id === criterion)?.title}`;
            return `${row}: ${Math.round(level * 100) / 100}`;
          });
        return [title, { score: its?.score ?? null, marks: marks.sort() }];
      }),
    ),
  };
}

const RESULTS: [RegExp, string][] = [
  [/^Withdrawn/, "withdrawn"],
  [/^Not here today/, "absent"],
  [/^Not open yet/, "closed"],
  [/^Pass/, "pass"],
  [/^Retest/, "retest"],
  [/^(Incomplete|Closed without)/, "incomplete"],
];

/** The candidate's page, read off the glass. */
async function ofPage({ page }: Chief, rubric: Rubric): Promise<Said> {
  const headline = await textOf(page.locator('[data-part="result"] h2'));
  const why = await page.locator('[data-part="result"] p').allTextContents();
  const total = why.map((one) => /^([\d.]+) %, needs/.exec(one)?.[1]).find(Boolean);
  const sections: Said["sections"] = {};
  for (const part of await page.locator(".candidate-marks-section").all()) {
    const title = await textOf(part.locator("summary b"));
    if ((await part.getAttribute("open")) === null) await part.locator("summary").click();
    await part.locator(".candidate-marks-cell").first().waitFor();
    const score = /^([\d.]+) %/.exec(await textOf(part.locator(".candidate-marks-standing")))?.[1];
    const marks = (await marksIn(part, rubric)).sort();
    // What nobody locked is shown, and is no result.
    if (score === undefined && marks.length === 0) continue;
    sections[title] = { score: score === undefined ? null : Number(score), marks };
  }
  return {
    result: RESULTS.find(([words]) => words.test(headline))?.[1] ?? headline,
    total: total === undefined ? null : Number(total),
    sections,
  };
}

/** Every cell that has a panel mark: "Rising block, left side, Chamber: 2.67". Where all say the same, that is it. */
async function marksIn(part: Locator, { scale }: Rubric): Promise<string[]> {
  const levels = scale.levels.map(({ title }) => title);
  const found = await part.locator(".candidate-marks-item").evaluateAll((items) =>
    items.flatMap((item) => {
      const title = item.querySelector("h3")?.textContent;
      return [...item.querySelectorAll(".candidate-marks-cell")].map((cell) => ({
        place: [title, cell.querySelector(".candidate-marks-criterion")?.textContent].filter(
          Boolean,
        ),
        stroke: cell.querySelector(".candidate-panel-stroke .unseen")?.textContent,
        all: cell.querySelector("[data-plain] .candidate-thread-name")?.textContent,
      }));
    }),
  );
  return found.flatMap(({ place, stroke, all }) => {
    const word = all?.split(": ")[1] ?? "";
    const level = stroke
      ? Number(stroke.replace("panel mark ", ""))
      : word === "done"
        ? 2
        : levels.indexOf(word) + 1;
    return level > 0 ? [`${place.join(", ")}: ${level}`] : [];
  });
}

/** The board's cells of one child, section by section: open ones with their side of the line, closed ones with how far judges are. */
async function onBoard({ page }: Chief, who: string): Promise<Record<string, string>> {
  const head = page.getByRole("columnheader");
  const names = await head.allTextContents();
  const at = names.findIndex((one) => one.replace(/\s+/g, " ").trim().startsWith(who)) - 1;
  const found: Record<string, string> = {};
  for (const row of await page.locator(".board-line-table tbody tr").all()) {
    const cell = row.getByRole("cell").nth(at);
    found[await textOf(row.getByRole("rowheader"))] = (
      (await cell
        .locator(".unseen")
        .first()
        .textContent({ timeout: 500 })
        .catch(() => "")) ?? ""
    ).trim();
  }
  return found;
}

/** A section of the report as the board's cell says it; undefined where it is closed. */
function boardWords(one: Reported, id: string): string | undefined {
  if (!one.panelMarks.some(({ section }) => section === id)) return undefined;
  const its = one.sections.find((section) => section.id === id);
  if (its?.score === null || its?.score === undefined) return "too little seen";
  return its.met ? (its.floor > 0 ? "floor met" : "no floor") : "below its floor";
}

/**
 * At this moment the chief's board and every child's page say what `report` says of the hub's export: result, total, scores, panel marks.
 * @param closed  what the board says of sections that are not open, for each child who has any
 */
export async function saysTheSame(
  hall: Hall,
  chief: Chief,
  closed: Record<string, Record<string, string>>,
  children: readonly string[],
): Promise<void> {
  await expect
    .poll(
      async () => {
        const { candidates, rubric } = await reported(hall);
        const wrong: Record<string, unknown> = {};
        for (const who of children) {
          const one = candidates.find(({ number }) => number === Number(who.split(" ")[0]));
          if (!one) throw new Error(`saysTheSame: ${who} is not in the report`);
          await chief.looksAt(who);
          const [page, report] = [await ofPage(chief, rubric), ofReport(one, rubric)];
          if (!alike(page, report)) wrong[who] = { page, report };
          await chief.turnsTo(who);
          const board = await onBoard(chief, who);
          for (const { id, title } of rubric.sections) {
            const said = board[title] ?? "no such line";
            const open = boardWords(one, id);
            const isSame = open
              ? said.endsWith(open)
              : said === (closed[who]?.[title] ?? "nothing was expected");
            if (!isSame) wrong[`${who}, ${title} on the board`] = { said, open };
          }
        }
        return wrong;
      },
      { timeout: 30_000, interval: 500 },
    )
    .toEqual({});
}

/** Figures are shown rounded to a tenth. */
function alike(page: Said, report: Said): boolean {
  const rounded = (said: Said) =>
    JSON.stringify(said, (key, value) =>
      (key === "score" || key === "total") && typeof value === "number" ? value.toFixed(1) : value,
    );
  return rounded(page) === rounded(report);
}

const textOf = async (part: Locator): Promise<string> => (await part.textContent()) ?? "";
