import type { MarkedCells } from "../severity/composites.ts";

/** What a judge's ways are read from: everybody's marks at lock, in levels, and what is known around them. */
export interface Judged {
  marks: MarkedCells;
  /** Levels of a quarter of the scale: see `scaleStep`. */
  step: number;
  /** Criterion (0, 1, …) and performance (one item on one side) of each cell. */
  criterion: Int32Array;
  performance: Int32Array;
  /** When each candidate was on the floor, in any unit; those of one moment alike. */
  moment: Float64Array;
  /** One for each mark: 1 where “rest meets” wrote it. */
  isRest: Uint8Array;
  /** Whether this candidate is the judge's own student. */
  isOwn: (candidate: number, judge: number) => boolean;
}
