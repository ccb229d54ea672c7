import type { AnyEntry } from "../../book/entry.ts";
import type { PersonId } from "../../book/identity.ts";
import type { OwnPartFirst } from "../../book/readers.ts";
import type { StoredEntry } from "../../book/stored-entry.ts";
import type { AnchorId } from "../identity.ts";
import { type EntryBody, isKnown } from "./entry.ts";

type AnchorMarks = EntryBody<"anchor-marked">["marks"];
interface Closed {
  stored: StoredEntry;
  anchor: AnchorId;
}

/**
 * What was marked and agreed of anchors, kept from one judge until that judge has marked the same cells:
 * a hand-in of one cell opens that cell and no more.
 * The first call opens the rest: from then on no mark of an anchor is taken that it could lead.
 */
export class OwnMarksFirst implements OwnPartFirst<AnchorId> {
  readonly #judge: PersonId;
  readonly #own = new Map<AnchorId, Set<string>>();
  #closed: Closed[] = [];
  #isCalled = false;

  constructor(judge: PersonId) {
    this.#judge = judge;
  }

  close(stored: StoredEntry, anchor: AnchorId): void {
    this.#closed.push({ stored, anchor });
  }

  open({ entry }: StoredEntry): StoredEntry[] {
    if (!isKnown(entry)) return [];
    if (entry.kind === "called") this.#isCalled = true;
    else if (entry.kind !== "anchor-marked" && entry.kind !== "anchor-agreed") return [];
    else if (entry.kind === "anchor-marked" && entry.by === this.#judge) this.#mark(entry.body);
    const opened = this.#closed.filter((one) => this.#mayOpen(one));
    if (opened.length > 0) this.#closed = this.#closed.filter((one) => !opened.includes(one));
    return opened.map(({ stored }) => stored);
  }

  #mark({ anchor, marks }: EntryBody<"anchor-marked">): void {
    const own = this.#own.get(anchor) ?? new Set();
    for (const mark of marks) own.add(cellOf(mark));
    this.#own.set(anchor, own);
  }

  #mayOpen({ stored, anchor }: Closed): boolean {
    if (this.#isCalled) return true;
    const own = this.#own.get(anchor);
    return own !== undefined && marksOf(stored.entry).every((mark) => own.has(cellOf(mark)));
  }
}

const marksOf = (entry: AnyEntry): AnchorMarks =>
  isKnown(entry) && (entry.kind === "anchor-marked" || entry.kind === "anchor-agreed")
    ? entry.body.marks
    : [];

const cellOf = ({ item, side, criterion }: AnchorMarks[number]): string =>
  JSON.stringify([item, side, criterion]);
