import { type Fault, FaultError } from "../book/faults.ts";
import type { Values } from "../words/say.ts";
import { faultInWords, sayTerminal, type TerminalKey } from "./say-terminal.ts";

/** Where something is wrong, as far as it is known. */
interface Where {
  file?: string;
  /** Counted from 1; the header of a CSV is line 1. */
  line?: number;
  /** JSON path: `entries[3].body.level`. */
  path?: string;
}
export interface Complaint extends Where {
  say: TerminalKey;
  with?: Values;
}

const COMPLAINTS_SHOWN = 30;

/** Bad input or usage: everything that is wrong at once, each with its place and what to do. Ends the command with 2. */
export class Trouble extends Error {
  readonly complaints: readonly Complaint[];
  constructor(complaints: readonly Complaint[]) {
    const lines = [...complaints]
      .sort((a, b) => (a.line ?? 0) - (b.line ?? 0))
      .slice(0, COMPLAINTS_SHOWN)
      .map(asLine);
    const more = complaints.length - lines.length;
    super(
      [...lines, ...(more > 0 ? [sayTerminal("complaints-more", { count: more })] : [])].join("\n"),
    );
    this.name = "Trouble";
    this.complaints = complaints;
  }
}

/** "marks.csv, line 7: …" */
function asLine({ say, with: values, ...where }: Complaint): string {
  const place = placeText(where);
  const sentence = sayTerminal(say, values);
  return place === "" ? sentence : sayTerminal("at-place", { place, sentence });
}

function placeText({ file, line, path }: Where): string {
  return [
    ...(file === undefined ? [] : [file]),
    ...(line === undefined ? [] : [sayTerminal("line", { line })]),
    ...(path === undefined || path === "" ? [] : [path]),
  ].join(", ");
}

/** A coded fault from elsewhere as it reads in a terminal. */
function faultLine(fault: Fault): string {
  const { file, line, path } = fault.with ?? {};
  const sentence = faultInWords(fault);
  const place = placeText({
    ...(file !== undefined && !sentence.includes(String(file)) ? { file: String(file) } : {}),
    ...(typeof line === "number" && !sentence.includes(String(line)) ? { line } : {}),
    ...(path !== undefined && !sentence.includes(String(path)) ? { path: String(path) } : {}),
  });
  return place === "" ? sentence : sayTerminal("at-place", { place, sentence });
}

/** What to print of an error, or undefined for a bug, which should be seen whole. */
export function troubleText(error: unknown): string | undefined {
  if (error instanceof Trouble) return error.message;
  if (error instanceof FaultError) return faultLine(error.fault);
  return undefined;
}
