import { useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { BoardColumn, BoardRow, CellMark, Scale } from "../../parts/line/board-data.ts";
import { Cells } from "../../parts/line/cells.tsx";
import { Checklist } from "../../parts/line/checklist.tsx";
import { Line } from "../../parts/line/line.tsx";
import { TopBand } from "../../parts/line/top-band.tsx";
import { faults } from "./invented-floor.ts";
import css from "./judge-view.module.css";

interface JudgeViewProps {
  form: "line" | "cells" | "checklist";
  columns: readonly BoardColumn[];
  rows: readonly BoardRow<string>[];
  scale: Scale;
  title: string;
  /** "candidate criterion level": level 0 is not seen, a trailing `r` a rest, a trailing `!` not yet stored. */
  marks?: readonly string[];
  handed?: "left" | "right";
  flipped?: boolean;
  earlier?: boolean;
  next?: boolean;
  stillOpen?: boolean;
  saved?: "saved" | "saving" | "waiting";
  mayRest?: boolean;
}

const key = (candidate: string, criterion: string) => `${candidate} ${criterion}`;

function parsed(marks: readonly string[]): Map<string, CellMark> {
  return new Map(
    marks.map((mark) => {
      const [candidate = "", criterion = "", level = ""] = mark.split(" ");
      const digit = Number(level[0]);
      return [
        key(candidate, criterion),
        {
          level: digit === 0 ? "not-seen" : digit,
          how: level.includes("r") ? "rest" : "tapped",
          kept: !level.includes("!"),
        },
      ];
    }),
  );
}

/** What is called with counts, and its other names. */
const called: Record<string, { alias: string; script?: string }> = {
  "Rising block": { alias: "age-uke" },
  "Rising block and reverse punch": { alias: "age-uke, gyaku-zuki", script: "上げ受け・逆突き" },
};

/** A judge's whole screen over a memory of its own, to be tried by hand. */
export function JudgeView(props: JudgeViewProps) {
  const { columns, rows, scale, marks: first = [], form } = props;
  const names = called[props.title];
  const [history, setHistory] = useState([parsed(first)]);
  const [newest, setNewest] = useState(() => {
    const [candidate, criterion] = first.at(-1)?.split(" ") ?? [];
    return candidate && criterion ? { candidate: candidate as CandidateId, criterion } : undefined;
  });
  const [flipped, setFlipped] = useState(props.flipped ?? false);
  const [on, setOn] = useState<readonly string[]>(["Stops short"]);
  const [notSeen, setNotSeen] = useState<readonly CandidateId[]>(
    columns.filter((column) => column.notSeen).map(({ candidate }) => candidate),
  );
  const marks = history.at(-1) ?? new Map<string, CellMark>();
  const at = newest && marks.get(key(newest.candidate, newest.criterion));
  const Form = form === "cells" ? Cells : Line;
  const shared = {
    columns: columns.map((column) => ({
      ...column,
      notSeen: notSeen.includes(column.candidate),
    })),
    rows,
    cell: (candidate: CandidateId, criterion: string) => marks.get(key(candidate, criterion)),
    newest,
    faults:
      at &&
      typeof at.level === "number" &&
      at.level < scale.meetsLevel &&
      form !== "checklist" &&
      rows.length > 1
        ? faults.map((label) => ({ id: label, label, on: on.includes(label) }))
        : [],
    handed: props.handed ?? "right",
    flipped,
    mayRest: props.mayRest ?? true,
    onMark: (candidate: CandidateId, criterion: string, level: number | "not-seen" | "cleared") => {
      const after = new Map(marks);
      if (level === "cleared") after.delete(key(candidate, criterion));
      else after.set(key(candidate, criterion), { level, how: "tapped", kept: true });
      setHistory([...history, after]);
      setNewest({ candidate, criterion });
      setOn([]);
    },
    onRest: (candidates: readonly CandidateId[]) => {
      const after = new Map(marks);
      for (const candidate of candidates)
        for (const { criterion, asked } of rows)
          if (asked && !after.has(key(candidate, criterion)))
            after.set(key(candidate, criterion), {
              level: form === "checklist" ? 2 : scale.meetsLevel,
              how: "rest",
              kept: true,
            });
      setHistory([...history, after]);
    },
    onNotSeen: (candidate: CandidateId) =>
      setNotSeen(
        notSeen.includes(candidate)
          ? notSeen.filter((one) => one !== candidate)
          : [...notSeen, candidate],
      ),
    onUndo: () => setHistory(history.length > 1 ? history.slice(0, -1) : history),
    onFault: (id: string) => setOn(on.includes(id) ? on.filter((one) => one !== id) : [...on, id]),
  };
  return (
    <main className={css.root}>
      <TopBand
        title={props.title}
        alias={names?.alias}
        script={names?.script}
        side={names ? "left" : null}
        counts={names && { done: 6, total: 6, running: false }}
        saved={props.saved ?? "saved"}
        stillOpen={props.stillOpen ? { call: "Low block, right", calls: 1, blank: 4 } : undefined}
        next={props.next ? "low block, right" : undefined}
        earlier={props.earlier}
        flipped={flipped}
        handed={props.handed}
        onStop={() => undefined}
        onFlip={form === "checklist" ? undefined : () => setFlipped(!flipped)}
        onNext={() => undefined}
        onBackToNow={() => undefined}
      />
      {form === "checklist" ? <Checklist {...shared} /> : <Form {...shared} scale={scale} />}
    </main>
  );
}
