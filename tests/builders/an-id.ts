import type * as z from "zod/mini";

/** Whoever or whatever it names: a test writes it down, and hands it to whatever takes an id. */
type AnId = string &
  z.core.$brand<
    | "anchor"
    | "candidate"
    | "count"
    | "criterion"
    | "device"
    | "entry"
    | "fault"
    | "grading"
    | "item"
    | "person"
    | "rubric"
    | "section"
    | "side"
  >;
export const anId = (text: string): AnId => text as AnId;
