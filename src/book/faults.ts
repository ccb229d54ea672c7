/** What a fault means to whoever hears it, besides its words. */
type FaultTrait =
  /** Refuses a line for what is here already: whoever took it had it before that. What it rests on may still come. */
  | "late"
  /** A mark that is refused so may be taken later, when the child has the rubric again that the judge marked by. */
  | "till-the-plan-comes"
  /** A judge's mark that is refused so may only have come before what it hangs on: it stays on the glass, so that nobody marks twice. */
  | "stays-on-the-glass"
  /** A hub says it of the whole test, of its own accord. */
  | "of-the-whole-test"
  /** The store, or the test in it, is lost: the way forward is a copy. */
  | "place-is-lost";
type Rows = Readonly<Record<string, readonly FaultTrait[]>>;

/**
 * Every coded fault a person may have to act on. Codes never change meaning.
 * Their plain words, for each language, are in src/words under `fault.CODE`; a test keeps the two in step.
 */
const faultsOnTheLine = {
  // reading what comes from outside
  FILE_MISSING: [],
  RUBRIC_UNSOUND: [],
  RUBRIC_UNKNOWN: ["till-the-plan-comes", "stays-on-the-glass"],
  PACK_CHANGED: [],
  ENTRY_MALFORMED: [],
  FRAME_MALFORMED: [],
  FRAME_TOO_LARGE: [],
  VERSION_UNKNOWN: [],
  // who may do what
  NOT_YOURS: [],
  DEVICE_IN: [],
  ROLE_MISSING: [],
  NOT_SEATED: [],
  GRADING_OTHER: [],
  CANDIDATE_UNKNOWN: ["till-the-plan-comes", "stays-on-the-glass"],
  ITEM_UNKNOWN: ["late", "till-the-plan-comes", "stays-on-the-glass"],
  CRITERION_NOT_ASKED: ["late"],
  LEVEL_OUT_OF_SCALE: ["late"],
  SCALE_OTHER: ["till-the-plan-comes"],
  NOT_ASSIGNED: ["late"],
  RECUSED: ["late"],
  ALREADY_LOCKED: ["late"],
  PLACE_LOCKED: ["late"],
  CELL_BLANK: ["late"],
  LANE_OTHER: [],
  SECTION_OPEN: ["late"],
  PLAN_OLDER: ["late"],
  ONE_CANDIDATE: [],
  BASIS_WRONG: [],
  HELD_ALREADY: [],
  CHIEF_DID_WITHOUT: [],
  REQUEST_OTHER: [],
  REQUEST_ANSWERED: ["late"],
  MARKED_TO_THE_END: ["late"],
  NOT_REVEALED: [],
  NOT_RELEASED: [],
  SHEET_NOT_RELEASED: [],
  ANCHOR_UNKNOWN: [],
  ANCHOR_LATE: ["late"],
  GRADING_CLOSED: ["late"],
  QUESTION_OPEN: [],
  COMPUTED_OTHER: [],
  VERDICT_MISSING: [],
  NOTHING_TO_CORRECT: [],
  REASON_MISSING: [],
  RUBRIC_MISFIT: [],
  VERDICT_ISSUED: ["late"],
  NUMBER_TAKEN: [],
  RUBRIC_BEGUN: ["late"],
  NUMBER_BEGUN: ["late"],
  NAME_BEGUN: ["late"],
  EXCUSE_LATE: ["late"],
  LAMPORT_TOO_HIGH: [],
  HUB_PUT_BACK: [],
  CLOCK_BACK: [],
  ENTRY_TOO_LARGE: [],
  DEVICE_FULL: [],
  ID_REUSED: [],
  ID_UNVOUCHED: [],
  N_REUSED: [],
  N_GAP: [],
  SIDE_RECORD_MISSING: ["stays-on-the-glass"],
  SIDE_RECORD_MISFILED: [],
  // joining
  KEY_WRONG: [],
  CODE_WRONG: [],
  LINK_WRONG: [],
  TOKEN_WRONG: [],
  NOT_ADMITTED: [],
  ORIGIN_WRONG: [],
  TOO_MANY_TRIES: [],
  // the machine
  STORE_CLOSED: [],
  STORE_FULL: [],
  STORE_LOST: [],
  STORE_BUSY: [],
  STORE_DAMAGED: ["place-is-lost"],
  STORE_MOVED: ["place-is-lost"],
  KEY_DAMAGED: ["place-is-lost"],
  ERASED_WAITS: ["of-the-whole-test"],
  TEST_DAMAGED: ["of-the-whole-test", "place-is-lost"],
  NAMES_DAMAGED: ["of-the-whole-test"],
  BACKUP_FAILED: [],
  COPIES_GONE: [],
  COPY_UNSOUND: [],
  COPY_NOT_HERE: [],
  COPY_SEALED: [],
  STORE_UNREACHABLE: [],
  HUB_UNREACHABLE: [],
} as const satisfies Rows;
/** Told in the terminal: whoever has such a fault has no line to tell it on, or a page has words of its own for it. */
const faultsOfTerminal = {
  USAGE: [],
  STORE_LOG_GONE: ["place-is-lost"],
  STORE_LOG_DAMAGED: [],
  STORE_LOG_OTHER: ["place-is-lost"],
  STORE_PUT_BACK: [],
  STORE_FILE_GONE: ["place-is-lost"],
  STORE_GONE: ["place-is-lost"],
  NOTE_DAMAGED: [],
  STORE_IN_USE: [],
  PORT_IN_USE: [],
  TRUST_BROKEN: [],
  COPY_AHEAD: [],
} as const satisfies Rows;
const faults = { ...faultsOnTheLine, ...faultsOfTerminal };
export type FaultCode = keyof typeof faults;
export const faultCodes = Object.keys(faults) as FaultCode[];
/** The faults of which something is so. */
export const faultsThatAre = (trait: FaultTrait): ReadonlySet<FaultCode> =>
  new Set(faultCodes.filter((code) => (faults[code] as readonly FaultTrait[]).includes(trait)));

/** A coded fault and what its sentence needs: file, line, path, names, numbers. */
export interface Fault {
  code: FaultCode;
  with?: Record<string, string | number> | undefined;
}

/** A fault that may come over a line. */
export type LineFault = Fault & { code: keyof typeof faultsOnTheLine };
export const isOfTheLine = (fault: Fault): fault is LineFault => !(fault.code in faultsOfTerminal);

/** Throws across a border where no value can be returned; the edge turns it into words. */
export class FaultError extends Error {
  readonly fault: Fault;
  constructor(fault: Fault, options?: ErrorOptions) {
    super(`${fault.code} ${JSON.stringify(fault.with ?? {})}`, options);
    this.name = "FaultError";
    this.fault = fault;
  }
}
