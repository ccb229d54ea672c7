import { isWhole, type ReadChain } from "../hub/store/read-chains.ts";
import { sayTerminal } from "./say-terminal.ts";

/** Whether a test's record, and the names and texts beside it, are as they were written; what is wrong by name. */
export function sayChain(chain: ReadChain, say: (line: string) => void): void {
  const { grading: test, entries, broken } = chain;
  const word = isWhole(chain) ? "verify-sound" : "verify-sides-wrong";
  say(
    broken
      ? sayTerminal("verify-broken", { test, entries, ...broken })
      : sayTerminal(word, { test, entries }),
  );
  saySides(chain, say);
}

export const isNotHere = ({ why }: ReadChain["sides"][number]): boolean =>
  why === "missing" || why === "wordless";

/** So many are named; a store that lost them all would fill the screen. */
const MOST_NAMED = 20;

function saySides({ sides }: ReadChain, say: (line: string) => void): void {
  for (const { id, why, entry = "none" } of sides.slice(0, MOST_NAMED))
    say(`  ${sayTerminal("verify-side", { id, why, entry })}`);
  const count = sides.length - MOST_NAMED;
  if (count > 0) say(`  ${sayTerminal("verify-side-more", { count })}`);
}
