import type { CandidateId } from "../../../belt-test/identity.ts";
import type { BeltColours } from "../belt.tsx";

/** One child's column. */
export interface BoardColumn {
  candidate: CandidateId;
  number: number;
  given: string;
  /** How the name is said, where that helps. */
  sounds?: string | undefined;
  belt: BeltColours;
  /** The judge could not watch this child in this call. */
  notSeen?: boolean | undefined;
  /** Called without having been checked in. */
  expected?: boolean | undefined;
  /** The judge has locked these marks: nothing more can be written here. */
  locked?: boolean | undefined;
}

/** One criterion, checklist item or overall judgement; `Row` is its id. Not asked: it keeps its place, grey. */
export interface BoardRow<Row extends string> {
  criterion: Row;
  title: string;
  asked: boolean;
}

/** What stands in a cell. `kept` turns true when the tablet's disk has it. */
export interface CellMark {
  level: number | "not-seen";
  how: "tapped" | "rest";
  kept: boolean;
}

export interface Scale {
  /** Titles, worst first: level 1 is `levels[0]`. */
  levels: readonly string[];
  meetsLevel: number;
}

interface CellPlace<Row extends string> {
  candidate: CandidateId;
  criterion: Row;
}

export interface FaultKey {
  id: string;
  label: string;
  on: boolean;
}

export interface BoardProps<Row extends string> {
  /** Names the call: when it changes the board is deaf for a moment, so that no tap lands on what was not meant. */
  call?: string | undefined;
  columns: readonly BoardColumn[];
  rows: readonly BoardRow<Row>[];
  scale: Scale;
  cell: (candidate: CandidateId, criterion: Row) => CellMark | undefined;
  /** Narrower than the row: a child excused from this item, or of a rank that does not ask this criterion. */
  isAsked?: ((candidate: CandidateId, criterion: Row) => boolean) | undefined;
  /** The cell the last tap wrote. */
  newest?: CellPlace<Row> | undefined;
  /** What the last undo took away; `criterion: null` a whole rest. Shown until the next mark. */
  undone?: { candidate: CandidateId; criterion: Row | null } | undefined;
  /** At most four, for the newest mark below the standard; their place is kept when there are none. */
  faults?: readonly FaultKey[] | undefined;
  handed?: "right" | "left" | undefined;
  flipped?: boolean | undefined;
  /** False where nothing may be filled at once, as in an overall judgement. */
  mayRest?: boolean | undefined;
  onMark: (candidate: CandidateId, criterion: Row, level: number | "not-seen" | "cleared") => void;
  /** Fills the asked, blank cells of these candidates, none of whom is "not seen". */
  onRest: (candidates: readonly CandidateId[]) => void;
  onNotSeen: (candidate: CandidateId) => void;
  onUndo: () => void;
  /** False where nothing is left to take back. */
  mayUndo?: boolean;
  onFault: (fault: string) => void;
}
