import { act, render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { beforeEach, expect, it, vi } from "vitest";
import type { CandidateId } from "../../../../src/belt-test/identity.ts";
import type { CellMark } from "../../../../src/tablet/parts/line/board-data.ts";
import css from "../../../../src/tablet/parts/line/cell.module.css";
import { Cells } from "../../../../src/tablet/parts/line/cells.tsx";

const drawn = vi.hoisted(() => ({ cells: [] as string[], rows: [] as number[] }));
vi.mock("../../../../src/tablet/parts/level-glyph.tsx", async (original) => {
  const glyphs = await original<typeof import("../../../../src/tablet/parts/level-glyph.tsx")>();
  return {
    ...glyphs,
    LevelMark: (props: Parameters<typeof glyphs.LevelMark>[0]) => {
      drawn.cells.push(`level ${props.level}`);
      return glyphs.LevelMark(props);
    },
  };
});
vi.mock("../../../../src/tablet/parts/line/cell.tsx", async (original) => {
  const { Cell } = await original<typeof import("../../../../src/tablet/parts/line/cell.tsx")>();
  return {
    // Not remembered itself: counts what its row asks for.
    Cell: (props: Parameters<typeof Cell>[0]) => {
      drawn.rows.push(props.row);
      return <Cell {...props} />;
    },
  };
});

// Invented children.
const children = ["Mia", "Jonas", "Aiko", "Lea", "Tom", "Ben"];
const words = ["Stance", "Chamber", "Extension", "Target", "Spirit"];

const belt = { name: "yellow", colour: "#f2c230" };
const scale = { levels: ["Not yet", "Nearly", "Meets", "Strong"], meetsLevel: 3 };
const allMeet: Record<string, CellMark> = Object.fromEntries(
  children.flatMap((child) =>
    words.map((word) => [`${child} ${word}`, { level: 3, how: "rest", kept: true }]),
  ),
);

/** What the disk has not answered yet. */
let answers: (() => void)[] = [];

/** A screen that makes everything anew each time, as one that reads the scorebook does; and only once the disk has answered. */
function Day() {
  const [marks, setMarks] = useState(allMeet);
  return (
    <Cells
      columns={children.map((given, index) => ({
        candidate: given as CandidateId,
        number: index + 1,
        given,
        belt,
      }))}
      rows={words.map((title) => ({ criterion: title, title, asked: true }))}
      scale={scale}
      cell={(candidate, criterion) => {
        const held = marks[`${candidate} ${criterion}`];
        return held && { ...held };
      }}
      onMark={(candidate, criterion, level) => {
        if (level === "cleared") return;
        const mark: CellMark = { level, how: "tapped", kept: true };
        answers.push(() => setMarks((all) => ({ ...all, [`${candidate} ${criterion}`]: mark })));
      }}
      onRest={() => {}}
      onNotSeen={() => {}}
      onUndo={() => {}}
      onFault={() => {}}
    />
  );
}

const taps = async (name: string, level: string) =>
  userEvent.click(
    within(screen.getByRole("gridcell", { name })).getByRole("button", { name: level }),
  );

beforeEach(() => {
  answers = [];
  render(<Day />);
  drawn.cells.length = 0;
  drawn.rows.length = 0;
});

it("draws the tapped cell at once and asks no row; when the disk has answered, the same cell and only its row", async () => {
  await taps("3 Aiko, extension: meets", "Nearly");
  expect(
    screen.getByRole("gridcell", { name: /^3 Aiko, extension: nearly, not saved/ }),
  ).toBeTruthy();
  expect(drawn.cells).toEqual(["level 2"]);
  expect(drawn.rows).toEqual([]);

  await act(async () => answers[0]?.());
  expect(screen.getByRole("gridcell", { name: "3 Aiko, extension: nearly" })).toBeTruthy();
  expect(new Set(drawn.cells)).toEqual(new Set(["level 2"]));
  expect(drawn.rows).toEqual([2, 2, 2, 2, 2, 2]);
});

it("keeps two marks that were written before the disk answered, and underlines the later one", async () => {
  await taps("3 Aiko, extension: meets", "Nearly");
  await taps("5 Tom, target: meets", "Strong");
  const underlined = () =>
    [...document.querySelectorAll(`.${css.newest}, .${css.newestOpen}`)].map((underline) =>
      underline.closest("[data-cell]")?.getAttribute("aria-label"),
    );
  expect(screen.getByRole("gridcell", { name: /^3 Aiko, extension: nearly/ })).toBeTruthy();
  expect(underlined()).toEqual([expect.stringMatching(/^5 Tom, target: strong/)]);
  await act(async () => {
    for (const answer of answers) answer();
  });
  expect(screen.getByRole("gridcell", { name: "3 Aiko, extension: nearly" })).toBeTruthy();
  expect(screen.getByRole("gridcell", { name: "5 Tom, target: strong" })).toBeTruthy();
});
