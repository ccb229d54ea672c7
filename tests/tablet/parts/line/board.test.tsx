import { fireEvent, render, screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useState } from "react";
import { describe, expect, it, vi } from "vitest";
import type { CandidateId } from "../../../../src/belt-test/identity.ts";
import type { BoardProps, CellMark } from "../../../../src/tablet/parts/line/board-data.ts";
import { Cells } from "../../../../src/tablet/parts/line/cells.tsx";
import { Checklist } from "../../../../src/tablet/parts/line/checklist.tsx";
import { Line } from "../../../../src/tablet/parts/line/line.tsx";

// Invented children, numbers and marks.
const [mia, jonas] = ["mia", "jonas"] as unknown as [CandidateId, CandidateId];
const belt = { name: "yellow", colour: "#f2c230" };
const four = { levels: ["Not yet", "Nearly", "Meets", "Strong"], meetsLevel: 3 };
const tapped = (level: number): CellMark => ({ level, how: "tapped", kept: true });

type Props = BoardProps<string>;
function aBoard(marks: Record<string, CellMark> = {}, changes: Partial<Props> = {}): Props {
  return {
    columns: [
      { candidate: mia, number: 14, given: "Mia", belt },
      { candidate: jonas, number: 15, given: "Jonas", belt },
    ],
    rows: [
      { criterion: "stance", title: "Stance", asked: true },
      { criterion: "extension", title: "Extension", asked: true },
    ],
    scale: four,
    cell: (candidate, criterion) => marks[`${candidate} ${criterion}`],
    onMark: vi.fn(),
    onRest: vi.fn(),
    onNotSeen: vi.fn(),
    onUndo: vi.fn(),
    onFault: vi.fn(),
    ...changes,
  };
}
const cell = (name: string) => screen.getByRole("gridcell", { name });
const level = (of: string, word: string) => within(cell(of)).getByRole("button", { name: word });
const user = userEvent.setup();

describe("Line", () => {
  it("gives any level with one tap, in the cell that was tapped", async () => {
    const props = aBoard();
    render(<Line {...props} />);
    await user.click(level("14 Mia, extension: blank", "Nearly"));
    await user.click(level("15 Jonas, stance: blank", "Strong"));
    expect(vi.mocked(props.onMark).mock.calls).toEqual([
      [mia, "extension", 2],
      [jonas, "stance", 4],
    ]);
  });

  it("takes a mark off when its level is tapped again, and says what stands", async () => {
    const props = aBoard({ "mia extension": tapped(2) });
    render(<Line {...props} />);
    const key = level("14 Mia, extension: nearly", "Nearly");
    expect(key).toHaveProperty("ariaPressed", "true");
    await user.click(key);
    expect(props.onMark).toHaveBeenCalledExactlyOnceWith(mia, "extension", "cleared");
  });

  it("says that a mark is not saved yet", () => {
    render(<Line {...aBoard({ "mia stance": { ...tapped(4), kept: false } })} />);
    expect(cell("14 Mia, stance: strong, not saved yet")).toBeTruthy();
  });

  it("fills the rest of the line for every child seen, and counts what is blank", async () => {
    const props = aBoard({ "mia stance": tapped(1) });
    render(<Line {...props} />);
    const key = screen.getByRole("button", { name: "Rest of line meets 3 blank" });
    await user.click(key);
    expect(props.onRest).toHaveBeenCalledExactlyOnceWith([mia, jonas]);
  });

  it("leaves a child who was not seen out of the line", async () => {
    const board = aBoard();
    const columns = board.columns.map((column) => ({
      ...column,
      notSeen: column.candidate === mia,
    }));
    const props = { ...board, columns };
    render(<Line {...props} />);
    expect(cell("14 Mia, stance: not seen")).toBeTruthy();
    expect(within(cell("14 Mia, stance: not seen")).queryAllByRole("button")).toEqual([]);
    await user.click(screen.getByRole("button", { name: "Rest of line meets 2 blank" }));
    expect(props.onRest).toHaveBeenCalledExactlyOnceWith([jonas]);
    const key = screen.getByRole("button", { name: "Not seen, 14 Mia" });
    expect(key).toHaveProperty("ariaPressed", "true");
    await user.click(key);
    expect(props.onNotSeen).toHaveBeenCalledExactlyOnceWith(mia);
  });

  it("has one child's own rest at the foot of the lane", async () => {
    const props = aBoard();
    render(<Line {...props} />);
    await user.click(screen.getByRole("button", { name: "Rest meets, 15 Jonas" }));
    expect(props.onRest).toHaveBeenCalledExactlyOnceWith([jonas]);
  });

  it("keeps the row of a criterion that is not asked, and takes no mark there", async () => {
    const props = aBoard();
    const rows = props.rows.map((row) => ({ ...row, asked: row.criterion !== "stance" }));
    render(<Line {...props} rows={rows} />);
    expect(screen.getByRole("rowheader", { name: "Stance" })).toBeTruthy();
    const grey = cell("14 Mia, stance: not asked");
    expect(within(grey).queryAllByRole("button")).toEqual([]);
    grey.focus();
    await user.keyboard("2");
    expect(props.onMark).not.toHaveBeenCalled();
    expect(screen.getByRole("button", { name: "Rest of line meets 2 blank" })).toBeTruthy();
  });

  it("seals a lane and closes the line when every asked cell is marked", () => {
    const all = Object.fromEntries(
      ["mia stance", "mia extension", "jonas stance", "jonas extension"].map((key) => [
        key,
        tapped(3),
      ]),
    );
    render(<Line {...aBoard(all)} />);
    expect(screen.getAllByText("all marked")).toHaveLength(2);
    expect(screen.getByText("All marked")).toBeTruthy();
    expect(screen.queryByRole("button", { name: /Rest/ })).toBeNull();
  });

  it("offers faults for the newest mark, by child and criterion", async () => {
    const props = aBoard(
      { "mia extension": tapped(2) },
      {
        newest: { candidate: mia, criterion: "extension" },
        faults: [
          { id: "short", label: "Stops short", on: true },
          { id: "over", label: "Over-locks", on: false },
        ],
      },
    );
    render(<Line {...props} />);
    const rail = screen.getByRole("group", { name: "14 Mia, extension" });
    expect(within(rail).getByRole("button", { name: "Stops short" })).toHaveProperty(
      "ariaPressed",
      "true",
    );
    await user.click(within(rail).getByRole("button", { name: "Over-locks" }));
    expect(props.onFault).toHaveBeenCalledExactlyOnceWith("over");
  });

  it("undoes with one tap and says what went", async () => {
    const props = aBoard({}, { undone: { candidate: mia, criterion: "extension" } });
    const { rerender } = render(<Line {...props} />);
    await user.click(screen.getByRole("button", { name: "Undo" }));
    expect(props.onUndo).toHaveBeenCalledOnce();
    expect(screen.getByText("Undone: Mia, extension")).toBeTruthy();
    rerender(<Line {...props} undone={{ candidate: mia, criterion: null }} />);
    expect(screen.getByText("Undone: the rest of the line")).toBeTruthy();
  });

  it("can be marked with the keyboard alone", async () => {
    const props = aBoard({ "jonas extension": tapped(2) });
    render(<Line {...props} />);
    cell("14 Mia, stance: blank").focus();
    await user.keyboard("4{ArrowRight}{ArrowDown}");
    expect(document.activeElement).toBe(cell("15 Jonas, extension: nearly"));
    await user.keyboard("{Backspace}ru");
    expect(vi.mocked(props.onMark).mock.calls).toEqual([
      [mia, "stance", 4],
      [jonas, "extension", "cleared"],
    ]);
    expect(props.onRest).toHaveBeenCalledExactlyOnceWith([mia, jonas]);
    expect(props.onUndo).toHaveBeenCalledOnce();
  });

  it("has one stop in the tab order for the whole grid", () => {
    render(<Line {...aBoard()} />);
    const stops = screen.getAllByRole("gridcell").filter((each) => each.tabIndex === 0);
    expect(stops).toHaveLength(1);
  });
});

describe("stray contacts", () => {
  const touch = (type: "pointerDown" | "pointerUp", on: Element, more: PointerEventInit = {}) =>
    fireEvent[type](on, {
      pointerType: "touch",
      pointerId: 1,
      isPrimary: true,
      clientX: 400,
      clientY: 300,
      ...more,
    });
  const tap = (on: Element, more: PointerEventInit = {}) => {
    touch("pointerDown", on, more);
    touch("pointerUp", on, more);
    fireEvent.click(on, { clientX: more.clientX ?? 400, clientY: more.clientY ?? 300 });
  };

  it("marks once for one tap of a finger", () => {
    const props = aBoard();
    render(<Line {...props} />);
    tap(level("14 Mia, stance: blank", "Nearly"));
    expect(props.onMark).toHaveBeenCalledExactlyOnceWith(mia, "stance", 2);
  });

  it("ignores the rim, the palm and a second finger, on cells and on keys", () => {
    const props = aBoard();
    render(<Line {...props} />);
    const nearly = level("14 Mia, stance: blank", "Nearly");
    const undo = screen.getByRole("button", { name: "Undo" });
    tap(nearly, { clientX: 3 });
    tap(undo, { clientX: 3 });
    tap(nearly, { width: 90, height: 90 });
    tap(undo, { width: 90, height: 90 });
    touch("pointerDown", level("15 Jonas, stance: blank", "Strong"), { pointerId: 7 });
    tap(nearly, { pointerId: 8, isPrimary: false });
    expect(props.onMark).not.toHaveBeenCalled();
    expect(props.onUndo).not.toHaveBeenCalled();
    touch("pointerUp", level("15 Jonas, stance: blank", "Strong"), { pointerId: 7 });
    expect(props.onMark).toHaveBeenCalledExactlyOnceWith(jonas, "stance", 4);
  });

  it("marks nothing when the finger goes down on one target and up on another", () => {
    const props = aBoard();
    render(<Line {...props} />);
    touch("pointerDown", level("14 Mia, stance: blank", "Nearly"));
    touch("pointerUp", level("14 Mia, stance: blank", "Strong"));
    expect(props.onMark).not.toHaveBeenCalled();
  });

  it("gives no key a click that the finger did not press and leave, however near it was", () => {
    const props = aBoard();
    render(<Line {...props} />);
    const undo = screen.getByRole("button", { name: "Undo" });
    touch("pointerDown", screen.getByRole("region", { name: "Marks of this call" }));
    touch("pointerUp", screen.getByRole("region", { name: "Marks of this call" }));
    fireEvent.click(undo);
    expect(props.onUndo).not.toHaveBeenCalled();
    touch("pointerDown", undo);
    touch("pointerUp", undo);
    fireEvent.click(screen.getByRole("button", { name: /^Rest of line/ }));
    expect(props.onRest).not.toHaveBeenCalled();
    tap(undo);
    expect(props.onUndo).toHaveBeenCalledOnce();
  });

  it("is deaf for 350 ms after the columns changed, and drops a finger that was down before", () => {
    const clock = vi.spyOn(performance, "now").mockReturnValue(10_000);
    const props = aBoard();
    const { rerender } = render(<Line {...props} />);
    touch("pointerDown", level("14 Mia, stance: blank", "Nearly"));
    rerender(<Line {...props} columns={[...props.columns].reverse()} />);
    // Jonas stands now where Mia stood.
    touch("pointerUp", level("15 Jonas, stance: blank", "Nearly"));
    clock.mockReturnValue(10_349);
    tap(level("14 Mia, stance: blank", "Nearly"));
    tap(screen.getByRole("button", { name: "Undo" }));
    expect(props.onMark).not.toHaveBeenCalled();
    expect(props.onUndo).not.toHaveBeenCalled();
    clock.mockReturnValue(10_351);
    tap(level("14 Mia, stance: blank", "Nearly"));
    expect(props.onMark).toHaveBeenCalledExactlyOnceWith(mia, "stance", 2);
    clock.mockRestore();
  });

  it("lets a screen reader press a level without a contact", () => {
    const props = aBoard();
    render(<Line {...props} />);
    fireEvent.click(level("15 Jonas, extension: blank", "Not yet"));
    expect(props.onMark).toHaveBeenCalledExactlyOnceWith(jonas, "extension", 1);
  });
});

/** Two-sided cells over a memory of their own. */
function Kept() {
  const [marks, setMarks] = useState<Record<string, CellMark>>({});
  const props = aBoard(marks, {
    onMark: (candidate, criterion, given) => {
      const { [`${candidate} ${criterion}`]: _, ...others } = marks;
      setMarks(
        typeof given === "number"
          ? { ...others, [`${candidate} ${criterion}`]: tapped(given) }
          : others,
      );
    },
  });
  return <Cells {...props} />;
}

describe("Cells", () => {
  it("left of the line: nearly, not yet, blank again", async () => {
    render(<Kept />);
    await user.click(level("14 Mia, stance: blank", "Nearly"));
    await user.click(level("14 Mia, stance: nearly", "Nearly"));
    await user.click(level("14 Mia, stance: not yet", "Nearly"));
    expect(cell("14 Mia, stance: blank")).toBeTruthy();
  });

  it("right of the line: strong", async () => {
    render(<Kept />);
    await user.click(level("15 Jonas, extension: blank", "Strong"));
    expect(cell("15 Jonas, extension: strong")).toBeTruthy();
  });
});

describe("Checklist", () => {
  it("marks done, not done and not seen", async () => {
    const { scale: _, ...props } = aBoard();
    render(<Checklist {...props} />);
    await user.click(level("14 Mia, stance: blank", "Done"));
    await user.click(level("14 Mia, extension: blank", "Not done"));
    await user.click(level("15 Jonas, stance: blank", "Not seen"));
    expect(vi.mocked(props.onMark).mock.calls).toEqual([
      [mia, "stance", 2],
      [mia, "extension", 1],
      [jonas, "stance", "not-seen"],
    ]);
    expect(screen.getByRole("button", { name: "Rest of list done 4 blank" })).toBeTruthy();
  });
});
