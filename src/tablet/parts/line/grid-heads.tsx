import { memo } from "react";
import type { CandidateId } from "../../../core/identity.ts";
import type { BoardColumn } from "./board-data.ts";
import type { BoardLayout, BoardShape } from "./board-layout.ts";
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
    // biome-ignore lint/a11y/useSemanticElements: heads stand by geometry that a table does not have
    // biome-ignore lint/a11y/useFocusableInteractive: the cells take the focus
    <div role="row" className="grid-heads">
      {/* biome-ignore lint/a11y/useSemanticElements: as above */}
      {/* biome-ignore lint/a11y/useFocusableInteractive: as above */}
      <span role="columnheader" className="unseen">
        {title}
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
                className="head-key"
                aria-pressed={column.candidate === chosen}
                onClick={() => choose(column.candidate)}
              >
                {head}
              </button>
            )}
          </div>
        );
      })}
    </div>
  );
});
