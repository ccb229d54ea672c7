import { memo } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { BoardColumn } from "./board-data.ts";
import type { BoardLayout, BoardShape } from "./board-layout.ts";
import { ColumnHead, GridLine } from "./grid-roles.tsx";
import css from "./lane-head.module.css";
import { LaneHead } from "./lane-head.tsx";

interface GridHeadsProps {
  /** What the rows are. */
  title: string;
  columns: readonly BoardColumn[];
  shape: BoardShape;
  layout: BoardLayout;
  /** Heads choose whom the rail serves: whose are chosen now; null where every lane has its own foot. */
  chosen: CandidateId | undefined | null;
  choose: (candidate: CandidateId) => void;
}

/** The children's names over their lanes. */
export const GridHeads = memo(function GridHeads(props: GridHeadsProps) {
  const { title, columns, shape, layout, chosen, choose } = props;
  return (
    <GridLine>
      <ColumnHead className="unseen">{title}</ColumnHead>
      {columns.map((column, index) => {
        const at = layout.lanes[index];
        if (!at) return null;
        const head = (
          <LaneHead
            number={column.number}
            given={column.given}
            sounds={column.sounds}
            belt={column.belt}
            expected={column.expected}
            short={at.width < 160}
          />
        );
        return (
          <ColumnHead
            key={column.candidate}
            className={shape === "phone" ? "unseen" : css.gridHead}
            style={{
              left: at.left,
              top: layout.ranks[at.rank] ?? 0,
              width: at.width,
              height: layout.headHeight,
            }}
          >
            {chosen === null ? (
              head
            ) : (
              <button
                type="button"
                className={css.key}
                aria-pressed={column.candidate === chosen}
                onClick={() => choose(column.candidate)}
              >
                {head}
              </button>
            )}
          </ColumnHead>
        );
      })}
    </GridLine>
  );
});
