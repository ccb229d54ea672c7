import { memo } from "react";
import type { BoardCell } from "./board-cells.ts";
import type { BoardColumn, Scale } from "./board-data.ts";
import type { BoardLayout } from "./board-layout.ts";
import { Cell } from "./cell.tsx";
import { GridLine, RowHead } from "./grid-roles.tsx";
import { RowTitle } from "./row-title.tsx";
import type { WetInk } from "./wet-ink.ts";

interface GridRowProps {
  ink: WetInk;
  title: string;
  asked: boolean;
  index: number;
  isLast: boolean;
  columns: readonly BoardColumn[];
  cells: readonly BoardCell[];
  /** The column of the newest mark, and of the cell in the tab order, where they are in this row. */
  newest: number | undefined;
  reached: number | undefined;
  layout: BoardLayout;
  width: number;
  zones: readonly string[];
  scale: Scale;
  twoSided: boolean;
}

/** One criterion and its cells. Drawn again only when one of its own cells changes. */
export const GridRow = memo(function GridRow(props: GridRowProps) {
  const { title, index, columns, cells, layout, scale } = props;
  const offset = layout.rowsTop + index * layout.rowHeight;
  return (
    <GridLine>
      <RowHead>{title}</RowHead>
      {layout.ranks.map((top) => (
        <RowTitle
          key={top}
          title={title}
          asked={props.asked}
          isLast={props.isLast}
          top={top + offset}
          layout={layout}
          width={props.width}
        />
      ))}
      {columns.map((column, at) => {
        const lane = layout.lanes[at];
        const cell = cells[at];
        if (!lane || !cell) return null;
        return (
          <Cell
            key={column.candidate}
            ink={props.ink}
            layout={layout}
            left={lane.left}
            top={(layout.ranks[lane.rank] ?? 0) + offset}
            column={at}
            row={index}
            number={column.number}
            given={column.given}
            title={title}
            zones={props.zones}
            levels={scale.levels}
            meetsLevel={scale.meetsLevel}
            level={cell.level}
            how={cell.how}
            kept={cell.kept}
            newest={props.newest === at}
            asked={cell.asked}
            seen={!column.notSeen}
            reached={props.reached === at}
            twoSided={props.twoSided}
          />
        );
      })}
    </GridLine>
  );
});
