import english from "./en/terminal.json" with { type: "json" };
import { sayIn, wordArea } from "./say.ts";

/** What the command line says. */
const terminalWords = wordArea("terminal", english);
export type TerminalKey = keyof typeof english;

export const sayTerminal = sayIn(terminalWords);
