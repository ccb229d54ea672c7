import { type KeyboardEvent, useMemo, useRef, useState } from "react";
import type { CandidateId } from "../../../core/identity.ts";
import { judgeWords } from "../../../words/judge-words.ts";
import { useSay } from "../use-say.ts";
import type { BoardProps } from "./board-data.ts";
import { BoardGrid } from "./board-grid.tsx";
import { type BoardForm, type BoardShape, boardLayout } from "./board-layout.ts";
import { gridKey } from "./grid-keys.ts";
import { sameTarget, type Target } from "./hit.ts";
import { Lane } from "./lane.tsx";
import { LaneKeys } from "./lane-keys.tsx";
import { isAsked, type LaneState, laneStates } from "./lane-states.ts";
import { lowerFirst } from "./lower-first.ts";
import { afterSideTap, afterStripTap } from "./next-level.ts";
import { PhoneHeads } from "./phone-heads.tsx";
import { Rail } from "./rail.tsx";
import { targetOf } from "./target-of.ts";
import { useContacts } from "./use-contacts.ts";
import { useSize } from "./use-size.ts";
import "./board.css";

const shapeOf = ({ width, height }: { width: number; height: number }): BoardShape =>
  width < 600 ? "phone" : width >= 900 || width > height ? "wide" : "tall";

interface FormedBoardProps<Row extends string> extends BoardProps<Row> {
  form: BoardForm;
}

/** The judge's board: heads, lanes, cells, their feet and the rail. Line, Cells and Checklist are this board in three forms. */
export function Board<Row extends string>(props: FormedBoardProps<Row>) {
  const { rows, scale, newest, flipped = false, handed = "right", mayRest = true } = props;
  const say = useSay(judgeWords);
  const [rootRef, rootSize] = useSize<HTMLElement>({ width: 1180, height: 732, textScale: 1 });
  const [boardRef, size] = useSize<HTMLDivElement>({ width: 1180, height: 645, textScale: 1 });
  const shape = shapeOf(rootSize);
  const form = props.form === "cells" && shape === "phone" ? "strips" : props.form;

  // On a phone one child at a time; with two ranks the rail serves the child whose head was tapped.
  const [chosen, choose] = useState<CandidateId | null>(null);
  const chosenColumn =
    props.columns.find(({ candidate }) => candidate === chosen) ?? props.columns[0];
  const columns = shape === "phone" ? (chosenColumn ? [chosenColumn] : []) : props.columns;
  const inRanks = form === "cells" && shape === "tall" && columns.length > 3;

  const levels = scale.levels.length;
  const { meetsLevel } = scale;
  const notSeenWord = say("notSeen");
  const zones = useMemo(
    () =>
      form === "cells"
        ? [scale.levels[meetsLevel - 2] ?? "", scale.levels[meetsLevel] ?? ""]
        : form === "checklist"
          ? [...scale.levels, notSeenWord]
          : scale.levels,
    [form, scale.levels, meetsLevel, notSeenWord],
  );
  const longestWord = Math.max(...zones.map((word) => word.length));
  const layout = useMemo(
    () =>
      boardLayout({
        form,
        shape,
        width: size.width,
        height: size.height,
        columns: columns.length,
        rows: rows.length,
        levels,
        meetsLevel,
        handed,
        flipped,
        longestWord,
        textScale: size.textScale,
      }),
    [
      form,
      shape,
      size,
      columns.length,
      rows.length,
      levels,
      meetsLevel,
      handed,
      flipped,
      longestWord,
    ],
  );
  const words = useMemo(
    () =>
      layout.dots
        .map((at, index) => ({
          word: (form === "checklist" ? zones : scale.levels)[index] ?? "",
          at,
          meets: index + 1 === meetsLevel,
          lower: layout.wordsInTwo && index % 2 === 1,
          near: Math.abs(index + 1 - meetsLevel) === 1,
        }))
        .filter(({ near }) => form !== "cells" || near),
    [layout, form, zones, scale.levels, meetsLevel],
  );

  const lanes = laneStates(props);
  const blank = lanes.reduce((sum, lane) => sum + lane.blank, 0);
  const allMarked = lanes.every(({ state }) => state !== "open");
  const laneOf = (candidate: CandidateId) =>
    lanes.find(({ column }) => column.candidate === candidate);

  const restLine = () => {
    const open = lanes.filter(({ state }) => state === "open").map((lane) => lane.column.candidate);
    if (mayRest && open.length > 0) props.onRest(open);
  };
  const cellAt = (column: number, row: number) => {
    const who = columns[column];
    const what = rows[row];
    return who && what && isAsked(props, who.candidate, what) && !who.notSeen
      ? { who, what }
      : null;
  };
  const mark = (at: Target) => {
    const found = cellAt(at.column, at.row);
    if (!found) return;
    const { candidate } = found.who;
    const { criterion } = found.what;
    const held = props.cell(candidate, criterion);
    const level =
      form === "cells"
        ? afterSideTap(held?.level, at.zone === 0 ? "below" : "above", { levels, meetsLevel })
        : afterStripTap(held?.level, held?.how, at.zone === levels ? "not-seen" : at.zone + 1);
    props.onMark(candidate, criterion, level);
  };

  const [reached, reach] = useState({ column: 0, row: 0 });
  const stop = {
    column: Math.min(reached.column, columns.length - 1),
    row: Math.min(reached.row, rows.length - 1),
  };
  const onKeyDown = (event: KeyboardEvent<HTMLElement>) => {
    const key = gridKey(event, levels, flipped);
    if (!key) return;
    const focused = (event.target as HTMLElement).closest<HTMLElement>("[data-cell]");
    const [column = 0, row = 0] = (focused?.dataset.cell ?? "").split(" ").map(Number);
    if (!focused && key.kind !== "rest" && key.kind !== "undo") return;
    event.preventDefault();
    if (key.kind === "rest") restLine();
    else if (key.kind === "undo") props.onUndo();
    else if (key.kind === "move") {
      const to = {
        column: Math.max(0, Math.min(columns.length - 1, column + key.column)),
        row: Math.max(0, Math.min(rows.length - 1, row + key.row)),
      };
      reach(to);
      boardRef.current
        ?.querySelector<HTMLElement>(`[data-cell="${to.column} ${to.row}"]`)
        ?.focus({ preventScroll: layout.contentHeight <= size.height + 1 });
    } else {
      const found = cellAt(column, row);
      if (!found) return;
      const { candidate } = found.who;
      const { criterion } = found.what;
      if (key.kind === "level") props.onMark(candidate, criterion, key.level);
      else if (key.kind === "not-seen")
        form === "checklist"
          ? props.onMark(candidate, criterion, "not-seen")
          : props.onNotSeen(candidate);
      else if (props.cell(candidate, criterion)) props.onMark(candidate, criterion, "cleared");
    }
  };

  const gridRef = useRef<HTMLDivElement>(null);
  useContacts<Target>(
    rootRef,
    `${props.call ?? ""} ${flipped} ${rows.map(({ criterion, asked }) => `${criterion}${asked}`)} ${columns.map(({ candidate }) => candidate)}`,
    {
      same: sameTarget,
      press: mark,
      target: (event) => targetOf(event, gridRef.current, layout, rows.length),
    },
  );

  const meetsWord = lowerFirst(scale.levels[meetsLevel - 1] ?? "");
  const restWord = mayRest
    ? form === "checklist"
      ? say("restDone")
      : say("rest", { level: meetsWord })
    : null;
  const restLineWord = mayRest
    ? form === "checklist"
      ? say("restOfListDone")
      : say("restOfLine", { level: meetsWord })
    : null;
  const topOf = (rank: number) => layout.ranks[rank] ?? 0;
  const named = (place: { candidate: CandidateId; criterion: Row | null }) => {
    const who = props.columns.find(({ candidate }) => candidate === place.candidate);
    const what = rows.find(({ criterion }) => criterion === place.criterion);
    return who && { who, what: what ? lowerFirst(what.title) : "" };
  };
  const newestNamed = newest && named(newest);
  const undoneNamed = props.undone && named(props.undone);
  const keysOf = (lane: LaneState) => (
    <LaneKeys
      candidate={lane.column.candidate}
      number={lane.column.number}
      given={lane.column.given}
      rest={restWord}
      state={lane.state}
      mayNotSee={form !== "checklist"}
      named={inRanks}
      onRest={props.onRest}
      onNotSeen={props.onNotSeen}
    />
  );
  const chosenLane = chosenColumn && laneOf(chosenColumn.candidate);

  return (
    <section
      ref={rootRef}
      className="board-root"
      aria-label={say("board")}
      data-form={form}
      data-shape={shape}
      data-hand={handed}
      data-ranks={inRanks || undefined}
      data-lanes={(layout.lanes[0]?.width ?? 0) < 300 ? "narrow" : "broad"}
      onKeyDown={onKeyDown}
    >
      {shape === "phone" && (
        <PhoneHeads columns={props.columns} chosen={chosenColumn} choose={choose} />
      )}
      <div
        ref={boardRef}
        className="board"
        data-scrolls={layout.contentHeight > size.height + 1 || undefined}
      >
        <div className="board-content" style={{ height: layout.contentHeight }}>
          {columns.map((column, index) => {
            const lane = laneOf(column.candidate);
            const at = layout.lanes[index];
            if (!lane || !at) return null;
            return (
              <Lane
                key={column.candidate}
                layout={layout}
                left={at.left}
                top={topOf(at.rank)}
                words={words}
                first={lane.first}
                last={lane.last}
                closed={lane.state === "closed"}
                seen={!column.notSeen}
              />
            );
          })}
          <BoardGrid
            gridRef={gridRef}
            board={props}
            form={form}
            shape={shape}
            layout={layout}
            width={size.width}
            columns={columns}
            zones={zones}
            stop={stop}
            choice={inRanks ? { chosen: chosenColumn, choose } : null}
          />
          {!inRanks &&
            columns.map((column, index) => {
              const lane = laneOf(column.candidate);
              const at = layout.lanes[index];
              if (!lane || !at) return null;
              return (
                <div
                  key={column.candidate}
                  className="foot"
                  style={{
                    left: at.left,
                    top: layout.keysTop,
                    width: at.width,
                    height: layout.keysHeight,
                    ["--line-at" as string]: `${layout.line}px`,
                  }}
                >
                  {keysOf(lane)}
                </div>
              );
            })}
        </div>
      </div>
      <Rail
        caption={
          newestNamed
            ? { who: `${newestNamed.who.number} ${newestNamed.who.given}`, what: newestNamed.what }
            : null
        }
        undone={
          undoneNamed
            ? props.undone?.criterion === null
              ? say("undoneRest")
              : say("undone", { given: undoneNamed.who.given, criterion: undoneNamed.what })
            : null
        }
        faults={props.faults ?? []}
        child={inRanks && chosenLane ? keysOf(chosenLane) : null}
        rest={restLineWord}
        blank={blank}
        allMarked={allMarked}
        onFault={props.onFault}
        onUndo={props.onUndo}
        onRest={restLine}
      />
    </section>
  );
}
