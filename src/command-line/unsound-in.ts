import { pathText } from "../belt-test/rubric/finding.ts";
import { readEntry } from "../belt-test/scorebook/entry.ts";
import { unsoundRubrics } from "../belt-test/scorebook/unsound-rubrics.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { GradingId } from "../book/identity.ts";
import { sayFinding } from "./read-rubrics.ts";
import { sayTerminal } from "./say-terminal.ts";

export interface Unsound {
  test: GradingId;
  path: string;
  sentence: string;
}

/** What `import` and `report` would refuse in a book whose chain is whole: entries that cannot be read, rubrics that contradict themselves. */
export function unsoundIn(test: GradingId, entries: AnyEntry[]): Unsound[] {
  const unread = entries.flatMap((entry, index): Unsound[] => {
    const read = readEntry(entry);
    if (read.ok) return [];
    const path = pathText(["entries", index, ...read.path]);
    return [{ test, path, sentence: sayTerminal("verify-unread") }];
  });
  if (unread.length > 0) return unread;
  return unsoundRubrics(entries).map(({ entry, code, path, with: values }) => ({
    test,
    path: pathText(["entries", entries.indexOf(entry), "body", "rubric", ...path]),
    sentence: sayFinding(code, values),
  }));
}
