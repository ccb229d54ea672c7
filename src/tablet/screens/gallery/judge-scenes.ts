import type { ComponentProps } from "react";
import {
  five,
  fiveRows,
  four,
  listRows,
  longNames,
  onceRows,
  overallRow,
  seven,
  six,
  three,
  threeAsked,
  two,
} from "./invented-floor.ts";
import type { JudgeView } from "./judge-view.tsx";

const fewMarks = ["c15 stance 1", "c16 spirit 4", "c14 extension 2"];
const allOf = (numbers: readonly number[], rows: readonly { criterion: string }[]) =>
  numbers.flatMap((number) => rows.map(({ criterion }) => `c${number} ${criterion} 3r`));

const block = {
  form: "line",
  columns: three,
  rows: fiveRows,
  scale: four,
  title: "Rising block",
} as const;

/** The judge's board in its states, by name. */
export const judgeScenes: Record<string, ComponentProps<typeof JudgeView>> = {
  three: { ...block, marks: fewMarks, stillOpen: true },
  blank: { ...block },
  confirmed: { ...block, marks: [...allOf([14, 15, 16], fiveRows), ...fewMarks] },
  waiting: {
    ...block,
    marks: ["c15 target 3", "c14 extension 2!"],
    saved: "waiting",
    next: true,
    stillOpen: true,
  },
  earlier: { ...block, marks: fewMarks, earlier: true },
  "left-flipped": {
    ...block,
    rows: threeAsked,
    marks: [
      ...allOf(
        [14, 15, 16],
        threeAsked.filter(({ asked }) => asked),
      ),
      "c16 chamber 2",
      "c14 target 4",
    ],
    handed: "left",
    flipped: true,
  },
  "not-seen": {
    ...block,
    columns: three.map((column, index) => ({ ...column, notSeen: index === 1 })),
    marks: ["c14 stance 2"],
  },
  "long-call": { ...block, title: "Rising block and reverse punch" },
  locked: {
    ...block,
    columns: three.map((column, index) => ({
      ...column,
      locked: true,
      sounds: ["MEE-ah", "YO-nas", "eye-ko"][index],
    })),
    marks: [...allOf([14, 15, 16], fiveRows), ...fewMarks],
  },
  "long-names": {
    ...block,
    columns: longNames,
    title: "Reverse punch from front stance",
    marks: ["c114 stance 3", "c115 chamber 1"],
    stillOpen: true,
  },
  one: { ...block, columns: three.slice(0, 1), marks: ["c14 stance 2"] },
  pair: { ...block, columns: three.slice(0, 2), marks: ["c14 stance 2"] },
  six: {
    ...block,
    form: "cells",
    columns: six,
    marks: ["c15 stance 1", "c16 spirit 4", "c18 target 2", "c14 extension 2"],
    stillOpen: true,
  },
  large: { ...block, form: "cells", marks: fewMarks },
  checklist: {
    form: "checklist",
    columns: three,
    rows: listRows,
    scale: four,
    title: "Knowledge and etiquette",
    marks: ["c14 bow 2", "c15 bow 1", "c16 belt 0", "c14 count 2"],
  },
  overall: {
    ...block,
    rows: overallRow,
    title: "Overall, basics",
    marks: ["c14 overall 3", "c15 overall 2"],
    mayRest: false,
  },
  once: { ...block, rows: onceRows, title: "Whole section", marks: ["c14 stance 3"] },
  "two-levels": { ...block, scale: two, marks: ["c14 stance 1", "c15 target 2"] },
  "five-levels": { ...block, scale: five, marks: ["c14 stance 3", "c15 target 2", "c16 target 5"] },
  "seven-levels": {
    ...block,
    scale: seven,
    marks: ["c14 stance 3", "c15 target 1", "c16 target 7"],
  },
};
