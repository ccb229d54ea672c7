import type { RefObject } from "react";
import type { CandidateId } from "../../../core/identity.ts";
import { judgeWords } from "../../../words/judge-words.ts";
import { useSay } from "../use-say.ts";
import type { BoardColumn, BoardProps } from "./board-data.ts";
import type { BoardForm, BoardLayout, BoardShape } from "./board-layout.ts";
import { Cell } from "./cell.tsx";
import { LaneHead } from "./lane-head.tsx";
import { isAsked } from "./lane-states.ts";
import { RowTitle } from "./row-title.tsx";

interface BoardGridProps<Row extends string> {
  gridRef: RefObject<HTMLDivElement | null>;
  board: BoardProps<Row>;
  form: BoardForm;
  shape: BoardShape;
  layout: BoardLayout;
  width: number;
  /** Those shown: all, or on a phone the one chosen. */
  columns: readonly BoardColumn[];
  /** One word a target, left to right. */
  zones: readonly string[];
  /** The cell in the tab order. */
  stop: { column: number; row: number };
  /** Heads that choose whom the rail serves; null where every lane has its own foot. */
  choice: { chosen: BoardColumn | undefined; choose: (candidate: CandidateId) => void } | null;
}

/** Heads, row names and cells, as a grid to a reader and by geometry to the eye. */
export function BoardGrid<Row extends string>(props: BoardGridProps<Row>) {
  const { gridRef, board, form, shape, layout, width, columns, zones, stop, choice } = props;
  const { rows, scale, newest } = board;
  const { meetsLevel } = scale;
  const say = useSay(judgeWords);
  const topOf = (rank: number) => layout.ranks[rank] ?? 0;
  return (
    // biome-ignore lint/a11y/useSemanticElements: rows and cells stand by geometry that a table does not have
    <div
      ref={gridRef}
      className="grid"
      role="grid"
      aria-label={say("board")}
      aria-rowcount={rows.length + 1}
      aria-colcount={columns.length + 1}
      style={{ height: layout.contentHeight }}
    >
      {/* biome-ignore lint/a11y/useSemanticElements: as above */}
      {/* biome-ignore lint/a11y/useFocusableInteractive: the cells take the focus */}
      <div role="row" className="grid-heads">
        {/* biome-ignore lint/a11y/useSemanticElements: as above */}
        {/* biome-ignore lint/a11y/useFocusableInteractive: as above */}
        <span role="columnheader" className="unseen">
          {say(form === "checklist" ? "items" : "criteria")}
        </span>
        {columns.map((column, index) => {
          const at = layout.lanes[index];
          if (!at) return null;
          const head = (
            <LaneHead
              number={column.number}
              given={column.given}
              sounds={column.sounds}
              belt={column.belt}
              short={at.width < 160}
            />
          );
          return (
            // biome-ignore lint/a11y/useSemanticElements: as above
            // biome-ignore lint/a11y/useFocusableInteractive: as above
            <div
              key={column.candidate}
              role="columnheader"
              className={shape === "phone" ? "unseen" : "grid-head"}
              style={{
                left: at.left,
                top: topOf(at.rank),
                width: at.width,
                height: layout.headHeight,
              }}
            >
              {choice ? (
                <button
                  type="button"
                  className="head-key"
                  aria-pressed={column === choice.chosen}
                  onClick={() => choice.choose(column.candidate)}
                >
                  {head}
                </button>
              ) : (
                head
              )}
            </div>
          );
        })}
      </div>
      {rows.map((row, rowIndex) => (
        // biome-ignore lint/a11y/useSemanticElements: as above
        // biome-ignore lint/a11y/useFocusableInteractive: as above
        <div key={row.criterion} role="row" className="grid-row">
          {/* biome-ignore lint/a11y/useSemanticElements: as above */}
          {/* biome-ignore lint/a11y/useFocusableInteractive: as above */}
          <span role="rowheader" className="unseen">
            {row.title}
          </span>
          {layout.ranks.map((top) => (
            <RowTitle
              key={top}
              title={row.title}
              asked={row.asked}
              isLast={rowIndex === rows.length - 1}
              top={top + layout.rowsTop + rowIndex * layout.rowHeight}
              layout={layout}
              width={width}
            />
          ))}
          {columns.map((column, index) => {
            const at = layout.lanes[index];
            if (!at) return null;
            const held = board.cell(column.candidate, row.criterion);
            return (
              <div
                key={column.candidate}
                role="presentation"
                className="cell-place"
                style={{
                  top: topOf(at.rank) + layout.rowsTop + rowIndex * layout.rowHeight,
                }}
              >
                <Cell
                  layout={layout}
                  left={at.left}
                  column={index}
                  row={rowIndex}
                  number={column.number}
                  given={column.given}
                  title={row.title}
                  zones={zones}
                  levels={scale.levels}
                  meetsLevel={meetsLevel}
                  level={held?.level}
                  how={held?.how}
                  kept={held?.kept ?? true}
                  newest={
                    newest?.candidate === column.candidate && newest.criterion === row.criterion
                  }
                  asked={isAsked(board, column.candidate, row)}
                  seen={!column.notSeen}
                  reached={stop.column === index && stop.row === rowIndex}
                  twoSided={form === "cells"}
                />
              </div>
            );
          })}
        </div>
      ))}
    </div>
  );
}
