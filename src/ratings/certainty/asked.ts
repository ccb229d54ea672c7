import type { Combining } from "../combinings.ts";
import type { MarkedCells } from "../severity/composites.ts";
import type { KnownSeverity } from "../severity/severities.ts";

/** A section, or a must-show item: cells that together have to reach something. */
export interface Part {
  /** Cells of `MarkedCells`, and what each weighs here; weights add up to 1. */
  cells: Int32Array;
  weights: Float64Array;
  /** The least that is needed here, in percent. */
  floor: number;
  /** Its share of the total, all sections together 1; 0 for a must-show item. */
  share: number;
  /** The section (place in the list) that a must-show item lies in; null for a section. */
  within: number | null;
}

/** What one candidate has to reach. Candidates of one rubric share one list of parts. */
export interface Asked {
  /** Sections first, then must-show items. */
  parts: readonly Part[];
  /** The least total over these parts, in percent. */
  pass: number;
  /** Something that is taken as it stands (a checklist) already bars the way. */
  isBarred: boolean;
  /** How the marks of one cell combine. */
  combine: Combining;
}

/** A test's marks, in percent of the scale, and what every candidate has to reach. */
export interface AskedPanel {
  /** `level` in percent: 0 the lowest level, 100 the highest. */
  marks: MarkedCells;
  candidates: readonly Asked[];
  /** Share of marks that somebody tapped; the others were written by “rest meets”, and say less. */
  tapped: number;
  /** What was measured of judges beforehand, in percent of the scale. */
  known?: readonly (KnownSeverity | null)[];
}
