import { render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { expect, it, vi } from "vitest";
import type { CandidateId } from "../../../../src/core/identity.ts";
import type { CellMark } from "../../../../src/tablet/parts/line/board-data.ts";
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

/** A screen that makes everything anew each time, as one that reads the scorebook does. */
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
        setMarks({ ...marks, [`${candidate} ${criterion}`]: { level, how: "tapped", kept: true } });
      }}
      onRest={() => {}}
      onNotSeen={() => {}}
      onUndo={() => {}}
      onFault={() => {}}
    />
  );
}

it("draws one cell for a tap, and asks only its row", async () => {
  render(<Day />);
  expect(drawn.cells).toHaveLength(30);
  drawn.cells.length = 0;
  drawn.rows.length = 0;
  const cell = screen.getByRole("gridcell", { name: "3 Aiko, extension: meets" });
  await userEvent.click(within(cell).getByRole("button", { name: "Nearly" }));
  expect(screen.getByRole("gridcell", { name: "3 Aiko, extension: nearly" })).toBeTruthy();
  expect(drawn.cells).toEqual(["level 2"]);
  expect(new Set(drawn.rows)).toEqual(new Set([2]));
  expect(drawn.rows).toHaveLength(6);
});
