import { type KeyboardEvent, useMemo, useRef, useState } from "react";
import type { CandidateId } from "../../../core/identity.ts";
import { judgeWords } from "../../../words/judge-words.ts";
import { useSay } from "../use-say.ts";
import type { BoardProps, CellMark } from "./board-data.ts";
import { type BoardForm, type BoardShape, boardLayout } from "./board-layout.ts";
import { Cell } from "./cell.tsx";
import { gridKey } from "./grid-keys.ts";
import { hit, sameTarget, type Target } from "./hit.ts";
import { Lane, LaneHead } from "./lane.tsx";
import { LaneKeys } from "./lane-keys.tsx";
import { lowerFirst } from "./lower-first.ts";
import { afterSideTap, afterStripTap } from "./next-level.ts";
import { Rail } from "./rail.tsx";
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

  const isAsked = (candidate: CandidateId, row: (typeof rows)[number]) =>
    row.asked && (props.isAsked?.(candidate, row.criterion) ?? true);
  const lanes = props.columns.map((column) => {
    const asked = rows.flatMap((row, index) => (isAsked(column.candidate, row) ? [index] : []));
    const blank = asked.filter((index) => {
      const row = rows[index];
      return row && props.cell(column.candidate, row.criterion) === undefined;
    }).length;
    const first = asked[0];
    const last = asked.at(-1);
    const state: "open" | "closed" | "not-seen" | "not-asked" =
      first === undefined
        ? "not-asked"
        : column.notSeen
          ? "not-seen"
          : blank === 0
            ? "closed"
            : "open";
    return {
      column,
      state,
      blank: state === "open" ? blank : 0,
      first,
      last,
    };
  });
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
    return who && what && isAsked(who.candidate, what) && !who.notSeen ? { who, what } : null;
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
      target: (event) => {
        const box = gridRef.current?.getBoundingClientRect();
        if (box && box.width > 0 && (event.clientX !== 0 || event.clientY !== 0)) {
          const inside = event.target instanceof Element && gridRef.current?.contains(event.target);
          const point = { x: event.clientX - box.left, y: event.clientY - box.top };
          return inside ? hit(layout, rows.length, point) : null;
        }
        // No point to go by (a reader's press, or a page without geometry): the element says it.
        const element = event.target instanceof Element ? event.target : null;
        const zone = element?.closest<HTMLElement>("[data-zone]")?.dataset.zone;
        const [column, row] = (
          element?.closest<HTMLElement>("[data-cell]")?.dataset.cell ?? ""
        ).split(" ");
        return zone === undefined
          ? null
          : { column: Number(column), row: Number(row), zone: Number(zone) };
      },
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
  const turnsHeads = shape === "phone" || inRanks;
  const keysOf = (lane: (typeof lanes)[number]) => (
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
        <fieldset className="heads-phone" aria-label={say("candidates")}>
          {props.columns.map((column) => (
            <button
              key={column.candidate}
              type="button"
              className="head-key"
              aria-pressed={column === chosenColumn}
              onClick={() => choose(column.candidate)}
            >
              <LaneHead
                number={column.number}
                given={column.given}
                sounds={undefined}
                belt={column.belt}
                short
              />
            </button>
          ))}
        </fieldset>
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
              <LanePlace
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
          {/* biome-ignore lint/a11y/useSemanticElements: rows and cells stand by geometry that a table does not have */}
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
                    {turnsHeads && shape !== "phone" ? (
                      <button
                        type="button"
                        className="head-key"
                        aria-pressed={column === chosenColumn}
                        onClick={() => choose(column.candidate)}
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
                  <span
                    key={top}
                    className="row-title"
                    aria-hidden="true"
                    data-asked={row.asked}
                    data-long={row.title.split(/\s/).some((word) => word.length > 10)}
                    data-last={rowIndex === rows.length - 1}
                    style={{
                      top: top + layout.rowsTop + rowIndex * layout.rowHeight,
                      height: layout.rowHeight,
                      ...(layout.gutter
                        ? {
                            paddingLeft: layout.gutter.left === 0 ? 14 : layout.gutter.left + 8,
                            paddingRight:
                              layout.gutter.left === 0 ? size.width - layout.gutter.width + 2 : 8,
                          }
                        : {}),
                    }}
                  >
                    <span>{row.title}</span>
                  </span>
                ))}
                {columns.map((column, index) => {
                  const at = layout.lanes[index];
                  if (!at) return null;
                  const held: CellMark | undefined = props.cell(column.candidate, row.criterion);
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
                          newest?.candidate === column.candidate &&
                          newest.criterion === row.criterion
                        }
                        asked={isAsked(column.candidate, row)}
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

interface LanePlaceProps extends Omit<Parameters<typeof Lane>[0], "asked"> {
  first: number | undefined;
  last: number | undefined;
}

/** Keeps a lane's span the same object while its rows stay, so that a tap elsewhere does not draw it again. */
function LanePlace({ first, last, ...lane }: LanePlaceProps) {
  const asked = useMemo(
    () => (first === undefined || last === undefined ? null : { first, last }),
    [first, last],
  );
  return <Lane {...lane} asked={asked} />;
}
