import type { TerminalKey } from "./say-terminal.ts";

/** Where a command writes. Tests give their own. */
export interface Terminal {
  out: (text: string) => void;
  err: (text: string) => void;
  /** Columns of text that fit. */
  width: number;
  /** Today's folder: relative names begin here. */
  folder: string;
}

export interface Command {
  /** What `--help` prints; a command without it answers `--help` itself. */
  help?: TerminalKey;
  /** @returns the exit code: 0 done, 1 the thing checked is not sound. @throws Trouble for bad usage or input. */
  run: (args: readonly string[], terminal: Terminal) => Promise<number>;
}
