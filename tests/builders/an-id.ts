import type * as z from "zod/mini";
import type { TextRef } from "../../src/book/identity.ts";

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

/** What an entry says of a name or text kept beside it, which this test never looks at. */
export const aTextRef = (id = "side-1", digit = "0"): TextRef => ({
  id: anId(id),
  digest: digit.repeat(64),
});
