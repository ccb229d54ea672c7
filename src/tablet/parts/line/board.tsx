import { useLayoutEffect, useRef, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { useSay } from "../use-say.ts";
import css from "./board.module.css";
import { boardCells } from "./board-cells.ts";
import type { BoardProps } from "./board-data.ts";
import { BoardGrid } from "./board-grid.tsx";
import type { BoardForm, BoardShape } from "./board-layout.ts";
import { BoardRail } from "./board-rail.tsx";
import { sameTarget, type Target } from "./hit.ts";
import { Lane } from "./lane.tsx";
import { LaneFoot } from "./lane-foot.tsx";
import { LaneKeys } from "./lane-keys.tsx";
import { type LaneState, laneStates } from "./lane-states.ts";
import { lowerFirst } from "./lower-first.ts";
import { afterSideTap, afterStripTap } from "./next-level.ts";
import { PhoneHeads } from "./phone-heads.tsx";
import { targetOf } from "./target-of.ts";
import { useBoardKeys } from "./use-board-keys.ts";
import { useBoardLayout } from "./use-board-layout.ts";
import { useContacts } from "./use-contacts.ts";
import { useSize } from "./use-size.ts";
import { useSteadyCall, useSteadyList, useSteadyTable } from "./use-steady.ts";
import { cellKey, WetInk } from "./wet-ink.ts";

const shapeOf = ({ width, height }: { width: number; height: number }): BoardShape =>
  width < 600 ? "phone" : width >= 900 || width > height ? "wide" : "tall";

interface FormedBoardProps<Row extends string> extends BoardProps<Row> {
  form: BoardForm;
}

/**
 * The judge's board: heads, lanes, cells, their feet and the rail. Line, Cells and Checklist are this board in three forms.
 * What its parts are given stays the same object while it says the same: a tap draws its cell, and what counts it.
 */
export function Board<Row extends string>(props: FormedBoardProps<Row>) {
  const { scale, newest, flipped = false, handed = "right", mayRest = true } = props;
  const say = useSay(judgeWords);
  const [rootRef, rootSize] = useSize<HTMLElement>({ width: 1180, height: 732, textScale: 1 });
  const [boardRef, size] = useSize<HTMLDivElement>({ width: 1180, height: 645, textScale: 1 });
  const gridRef = useRef<HTMLDivElement>(null);
  const [ink] = useState(() => new WetInk());
  useLayoutEffect(() => ink.dry());
  const shape = shapeOf(rootSize);
  const form = props.form === "cells" && shape === "phone" ? "strips" : props.form;

  const everybody = useSteadyList(props.columns);
  const rows = useSteadyList(props.rows);
  const cells = useSteadyTable(boardCells(props, rows, everybody));
  const lanes = laneStates(everybody, cells);

  // On a phone one child at a time; with two ranks the rail serves the child whose head was tapped.
  const [chosen, choose] = useState<CandidateId | null>(null);
  const chosenAt = Math.max(
    0,
    everybody.findIndex(({ candidate }) => candidate === chosen),
  );
  const chosenColumn = everybody[chosenAt];
  const isPhone = shape === "phone";
  const only = <T,>(list: readonly T[]) => (isPhone ? list.slice(chosenAt, chosenAt + 1) : list);
  const columns = only(everybody);
  const inRanks = form === "cells" && shape === "tall" && columns.length > 3;

  const { layout, zones, words } = useBoardLayout({
    form,
    shape,
    size,
    columns: columns.length,
    rows: rows.length,
    scale,
    handed,
    flipped,
  });
  const scrolls = layout.contentHeight > size.height + 1;

  const levels = scale.levels.length;
  const onRest = useSteadyCall(props.onRest);
  const onNotSeen = useSteadyCall(props.onNotSeen);
  const restLine = () => {
    const open = lanes.filter(({ state }) => state === "open").map((lane) => lane.column.candidate);
    if (mayRest && open.length > 0) onRest(open);
  };
  const newestCell =
    newest &&
    cellKey(
      columns.findIndex(({ candidate }) => candidate === newest.candidate),
      rows.findIndex(({ criterion }) => criterion === newest.criterion),
    );
  const cellAt = (at: number, row: number) => {
    const who = columns[at];
    const what = rows[row];
    if (!who || !what || !only(cells[row] ?? [])[at]?.asked || who.notSeen || who.locked)
      return undefined;
    const { candidate } = who;
    const { criterion } = what;
    // Asked anew, not taken from what was drawn: two taps may come before the screen does.
    const held = props.cell(candidate, criterion);
    return {
      held,
      isMarked: held !== undefined,
      mark: (level: number | "not-seen" | "cleared") => {
        props.onMark(candidate, criterion, level);
        ink.write(cellKey(at, row), level === "cleared" ? undefined : level, newestCell);
      },
      notSeen: () => props.onNotSeen(candidate),
    };
  };
  const press = ({ column, row, zone }: Target) => {
    const cell = cellAt(column, row);
    cell?.mark(
      form === "cells"
        ? afterSideTap(cell.held?.level, zone === 0 ? "below" : "above", {
            levels,
            meetsLevel: scale.meetsLevel,
          })
        : afterStripTap(cell.held?.level, cell.held?.how, zone === levels ? "not-seen" : zone + 1),
    );
  };
  useContacts<Target>(
    rootRef,
    `${props.call ?? ""} ${flipped} ${rows.map(({ criterion, asked }) => `${criterion}${asked}`)} ${columns.map(({ candidate }) => candidate)}`,
    {
      same: sameTarget,
      press,
      target: (event) => targetOf(event, gridRef.current, layout, rows.length),
    },
  );
  const { stop, onKeyDown } = useBoardKeys({
    board: boardRef,
    form,
    columns: columns.length,
    rows: rows.length,
    levels,
    flipped,
    scrolls,
    cellAt,
    rest: restLine,
    undo: props.onUndo,
  });

  const level = lowerFirst(scale.levels[scale.meetsLevel - 1] ?? "", say.locale);
  const isList = form === "checklist";
  const restWord = isList ? say("restDone") : say("rest", { level });
  const restLineWord = isList ? say("restOfListDone") : say("restOfLine", { level });
  const keysOf = ({ column, state }: LaneState) => ({
    candidate: column.candidate,
    number: column.number,
    given: column.given,
    rest: mayRest ? restWord : null,
    state,
    mayNotSee: !isList,
    onRest,
    onNotSeen,
  });
  const chosenLane = lanes[chosenAt];

  return (
    <section
      ref={rootRef}
      className={css.root}
      data-part="board-root"
      aria-label={say("board")}
      data-form={form}
      data-shape={shape}
      data-hand={handed}
      data-ranks={inRanks || undefined}
      data-lanes={(layout.lanes[0]?.width ?? 0) < 300 ? "narrow" : "broad"}
      onKeyDown={onKeyDown}
    >
      {isPhone && <PhoneHeads columns={everybody} chosen={chosenColumn} choose={choose} />}
      <div ref={boardRef} className={css.area} data-scrolls={scrolls || undefined}>
        <div className={css.content} style={{ height: layout.contentHeight }}>
          {only(lanes).map((lane, index) => {
            const at = layout.lanes[index];
            return (
              at && (
                <Lane
                  key={lane.column.candidate}
                  layout={layout}
                  left={at.left}
                  top={layout.ranks[at.rank] ?? 0}
                  words={words}
                  first={lane.first}
                  last={lane.last}
                  closed={lane.state === "closed" || lane.state === "locked"}
                  seen={!lane.column.notSeen}
                />
              )
            );
          })}
          <BoardGrid
            gridRef={gridRef}
            ink={ink}
            form={form}
            shape={shape}
            layout={layout}
            width={size.width}
            rows={rows}
            columns={columns}
            cells={isPhone ? cells.map(only) : cells}
            scale={scale}
            newest={newest}
            zones={zones}
            stop={stop}
            chosen={inRanks ? chosenColumn?.candidate : null}
            choose={choose}
          />
          {!inRanks &&
            only(lanes).map((lane, index) => {
              const at = layout.lanes[index];
              return (
                at && (
                  <LaneFoot
                    key={lane.column.candidate}
                    layout={layout}
                    left={at.left}
                    width={at.width}
                    {...keysOf(lane)}
                  />
                )
              );
            })}
        </div>
      </div>
      <BoardRail
        board={props}
        lanes={lanes}
        child={inRanks && chosenLane ? <LaneKeys named {...keysOf(chosenLane)} /> : null}
        rest={mayRest ? restLineWord : null}
        onRest={restLine}
      />
    </section>
  );
}
