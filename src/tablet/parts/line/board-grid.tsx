import type { RefObject } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { useSay } from "../use-say.ts";
import css from "./board.module.css";
import type { BoardCell } from "./board-cells.ts";
import type { BoardColumn, BoardRow, Scale } from "./board-data.ts";
import type { BoardForm, BoardLayout, BoardShape } from "./board-layout.ts";
import { GridHeads } from "./grid-heads.tsx";
import { GridBox } from "./grid-roles.tsx";
import { GridRow } from "./grid-row.tsx";
import type { WetInk } from "./wet-ink.ts";

interface BoardGridProps {
  ink: WetInk;
  gridRef: RefObject<HTMLDivElement | null>;
  form: BoardForm;
  shape: BoardShape;
  layout: BoardLayout;
  width: number;
  rows: readonly BoardRow<string>[];
  /** Those shown: all, or on a phone the one chosen. */
  columns: readonly BoardColumn[];
  /** Row by row, of the columns shown. */
  cells: readonly (readonly BoardCell[])[];
  scale: Scale;
  newest: { candidate: CandidateId; criterion: string } | undefined;
  /** One word a target, left to right. */
  zones: readonly string[];
  /** The cell in the tab order. */
  stop: { column: number; row: number };
  /** Heads that choose whom the rail serves: who it is now; null where every lane has its own foot. */
  chosen: CandidateId | undefined | null;
  choose: (candidate: CandidateId) => void;
}

/** Heads, row names and cells, as a grid to a reader and by geometry to the eye. */
export function BoardGrid(props: BoardGridProps) {
  const { form, layout, rows, columns, newest, stop } = props;
  const say = useSay(judgeWords);
  const newestAt = columns.findIndex(({ candidate }) => candidate === newest?.candidate);
  return (
    <GridBox
      ref={props.gridRef}
      className={css.grid}
      aria-label={say("board")}
      aria-rowcount={rows.length + 1}
      aria-colcount={columns.length + 1}
      style={{ height: layout.contentHeight }}
    >
      <GridHeads
        title={say(form === "checklist" ? "items" : "criteria")}
        columns={columns}
        shape={props.shape}
        layout={layout}
        chosen={props.chosen}
        choose={props.choose}
      />
      {rows.map((row, index) => (
        <GridRow
          key={row.criterion}
          ink={props.ink}
          title={row.title}
          asked={row.asked}
          index={index}
          isLast={index === rows.length - 1}
          columns={columns}
          cells={props.cells[index] ?? []}
          newest={newest?.criterion === row.criterion ? newestAt : undefined}
          reached={stop.row === index ? stop.column : undefined}
          layout={layout}
          width={props.width}
          zones={props.zones}
          scale={props.scale}
          twoSided={form === "cells"}
        />
      ))}
    </GridBox>
  );
}
