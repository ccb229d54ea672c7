import type { AnyEntry } from "../../book/entry.ts";
import { harmless } from "../../book/harmless-text.ts";
import { byAge } from "../../book/order.ts";
import type { EntryBody } from "./entry.ts";

/** What a list of belt tests says of one. */
export interface TitlePage {
  title: string | undefined;
  date: string | undefined;
  isExample: boolean;
  state: "planning" | "running" | "closed";
}

/** The kinds that a title page is made of. */
export const titleKinds = ["opened", "started", "closed"] as const;

/**
 * What a belt test is called and how far it is, for a list of many: reads the entries and folds nothing.
 *
 * @param entries  of one grading, in any order.
 * @returns `title` and `date` of the newest `opened` entry, undefined where there is none.
 *
 * @example
 * titlePage([]).state; // => "planning"
 */
export function titlePage(entries: Iterable<AnyEntry>): TitlePage {
  let opened: AnyEntry | undefined;
  const kinds = new Set<string>();
  for (const entry of entries) {
    kinds.add(entry.kind);
    if (entry.kind === "opened" && (!opened || byAge(entry, opened) > 0)) opened = entry;
  }
  const body = opened?.body as EntryBody<"opened"> | undefined;
  return {
    title: body && harmless(body.title),
    date: body?.date,
    isExample: body?.example === true,
    state: kinds.has("closed") ? "closed" : kinds.has("started") ? "running" : "planning",
  };
}
