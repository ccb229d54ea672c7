/**
 * Every coded fault a person may have to act on. Codes never change meaning.
 * Their plain words, for each language, are in src/words under `fault.CODE`; a test keeps the two in step.
 */
const faultsOnTheLine = [
  // reading what comes from outside
  "FILE_MISSING",
  "RUBRIC_UNSOUND",
  "RUBRIC_UNKNOWN",
  "PACK_CHANGED",
  "ENTRY_MALFORMED",
  "FRAME_MALFORMED",
  "FRAME_TOO_LARGE",
  "VERSION_UNKNOWN",
  // who may do what
  "NOT_YOURS",
  "DEVICE_IN",
  "ROLE_MISSING",
  "NOT_SEATED",
  "GRADING_OTHER",
  "CANDIDATE_UNKNOWN",
  "ITEM_UNKNOWN",
  "CRITERION_NOT_ASKED",
  "LEVEL_OUT_OF_SCALE",
  "SCALE_OTHER",
  "NOT_ASSIGNED",
  "RECUSED",
  "ALREADY_LOCKED",
  "PLACE_LOCKED",
  "CELL_BLANK",
  "LANE_OTHER",
  "SECTION_OPEN",
  "PLAN_OLDER",
  "ONE_CANDIDATE",
  "BASIS_WRONG",
  "HELD_ALREADY",
  "CHIEF_DID_WITHOUT",
  "REQUEST_OTHER",
  "REQUEST_ANSWERED",
  "MARKED_TO_THE_END",
  "NOT_REVEALED",
  "NOT_RELEASED",
  "SHEET_NOT_RELEASED",
  "ANCHOR_UNKNOWN",
  "ANCHOR_LATE",
  "GRADING_CLOSED",
  "QUESTION_OPEN",
  "COMPUTED_OTHER",
  "VERDICT_MISSING",
  "NOTHING_TO_CORRECT",
  "REASON_MISSING",
  "RUBRIC_MISFIT",
  "VERDICT_ISSUED",
  "NUMBER_TAKEN",
  "RUBRIC_BEGUN",
  "NUMBER_BEGUN",
  "NAME_BEGUN",
  "EXCUSE_LATE",
  "LAMPORT_TOO_HIGH",
  "HUB_PUT_BACK",
  "CLOCK_BACK",
  "ENTRY_TOO_LARGE",
  "DEVICE_FULL",
  "ID_REUSED",
  "ID_UNVOUCHED",
  "N_REUSED",
  "N_GAP",
  "SIDE_RECORD_MISSING",
  "SIDE_RECORD_MISFILED",
  // joining
  "KEY_WRONG",
  "CODE_WRONG",
  "LINK_WRONG",
  "TOKEN_WRONG",
  "NOT_ADMITTED",
  "ORIGIN_WRONG",
  "TOO_MANY_TRIES",
  // the machine
  "STORE_CLOSED",
  "STORE_FULL",
  "STORE_LOST",
  "STORE_BUSY",
  "STORE_DAMAGED",
  "STORE_MOVED",
  "KEY_DAMAGED",
  "ERASED_WAITS",
  "TEST_DAMAGED",
  "NAMES_DAMAGED",
  "BACKUP_FAILED",
  "COPIES_GONE",
  "COPY_UNSOUND",
  "COPY_NOT_HERE",
  "COPY_SEALED",
  "STORE_UNREACHABLE",
  "HUB_UNREACHABLE",
] as const;
/** Told in the terminal: whoever has such a fault has no line to tell it on, or a page has words of its own for it. */
const faultsOfTerminal = [
  "USAGE",
  "STORE_LOG_GONE",
  "STORE_LOG_DAMAGED",
  "STORE_LOG_OTHER",
  "STORE_PUT_BACK",
  "STORE_FILE_GONE",
  "STORE_GONE",
  "NOTE_DAMAGED",
  "STORE_IN_USE",
  "PORT_IN_USE",
  "TRUST_BROKEN",
  "COPY_AHEAD",
] as const;
export const faultCodes = [...faultsOnTheLine, ...faultsOfTerminal] as const;
export type FaultCode = (typeof faultCodes)[number];

/** A coded fault and what its sentence needs: file, line, path, names, numbers. */
export interface Fault {
  code: FaultCode;
  with?: Record<string, string | number> | undefined;
}

/** A fault that may come over a line. */
export type LineFault = Fault & { code: (typeof faultsOnTheLine)[number] };
export const isOfTheLine = (fault: Fault): fault is LineFault =>
  !(faultsOfTerminal as readonly string[]).includes(fault.code);

/** Throws across a border where no value can be returned; the edge turns it into words. */
export class FaultError extends Error {
  readonly fault: Fault;
  constructor(fault: Fault, options?: ErrorOptions) {
    super(`${fault.code} ${JSON.stringify(fault.with ?? {})}`, options);
    this.name = "FaultError";
    this.fault = fault;
  }
}
