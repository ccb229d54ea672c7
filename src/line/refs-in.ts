import type { AnyEntry } from "../book/entry.ts";
import { TextRef } from "../book/identity.ts";

/** Two is the most that any kind has; whoever names one record a thousand times in keys that nobody reads is not to have it looked at a thousand times. */
const MOST_REFS = 4;

/** The side records an entry refers to, wherever in its body they are named: each once, the first four. */
export function refsIn(entry: AnyEntry): TextRef[] {
  const found = new Map<TextRef["id"], TextRef>();
  for (const value of Object.values(entry.body)) {
    if (found.size === MOST_REFS) break;
    if (typeof value !== "object" || value === null || !("digest" in value)) continue;
    const { data: ref } = TextRef.safeParse(value);
    if (ref && !found.has(ref.id)) found.set(ref.id, ref);
  }
  return [...found.values()];
}
