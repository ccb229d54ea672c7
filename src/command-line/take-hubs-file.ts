import { isDeepStrictEqual } from "node:util";
import { pathText } from "../belt-test/rubric/finding.ts";
import type { ReadScorebook } from "../belt-test/scorebook/read-scorebook-file.ts";
import { fold, type Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { strayMarks } from "../belt-test/scorebook/stray-marks.ts";
import { testSides } from "../belt-test/scorebook/test-sides.ts";
import type { GradingId, SideRecordId } from "../book/identity.ts";
import type { SideRecord } from "../book/side-record.ts";
import type { StoredEntry } from "../book/stored-entry.ts";
import type { TakenFile } from "../hub/test-room/persons-file.ts";
import { SideCheck } from "../line/side-check.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { signerAtEnd } from "./file-remarks.ts";
import { faultInWords } from "./say-terminal.ts";
import { type Complaint, Trouble } from "./trouble.ts";

const STRAYS_SHOWN = 20;

/**
 * Writes a hub's copy behind what the store holds; of whom was erased, there or here or before, no names and texts.
 * @throws Trouble, and nothing is written, where they cannot stand beside each other, where a mark belongs nowhere, or where a copy that
 *   no known hub signed would add to a book that is here already: nobody answers for what it says.
 */
export async function takeHubsFile(
  store: ScorebookStore,
  file: ReadScorebook,
  name: string,
  { erasedBefore, signer, isTrusted }: Trust,
): Promise<TakenFile> {
  const { grading, entries } = file;
  const held = await store.read(grading, 0);
  let clashes: Complaint[] = [];
  let erased: ReadonlySet<string> = new Set();
  const decided = (lines: readonly StoredEntry[]) => {
    const book = fold([...lines.map(({ entry }) => entry), ...entries]);
    clashes = clashesWith(lines, file, name);
    if (clashes.length === 0) clashes = straysOf(book, file, name);
    if (clashes.length === 0 && !isTrusted && isNews(lines, file))
      clashes = [
        signer === ""
          ? { say: "import-unsigned", file: name, with: { grading } }
          : { say: "import-other-hub", file: name, with: { grading, signer } },
      ];
    erased = new Set([...erasedBefore, ...book.erased]);
    const sides = file.sides.filter(({ about }) => !erased.has(about));
    return clashes.length > 0 ? { entries: [], sides: [] } : { entries, sides };
  };
  const { entries: fresh, sides } = decided(held);
  const wrong = await wrongHere(store, grading, held, sides);
  // What is not what its entry refers to gives way to what is.
  if (clashes.length === 0 && wrong.length > 0) await store.erase(grading, "", wrong);
  const appended = await store.append(grading, fresh, sides, {
    place: held.at(-1)?.seq ?? 0,
    decideAgain: (more) => decided([...held, ...more]),
  });
  if (clashes.length > 0) throw new Trouble(clashes);
  // What an import from before had brought, or the file itself says.
  for (const about of erased) await store.erase(grading, about);
  return {
    added: appended.added.map(({ entry }) => entry.id),
    known: appended.known,
    refused: [],
    mended: wrong.length,
  };
}

/** Of these records, sound in the file, those that lie here and are not what this store's entries refer to. */
async function wrongHere(
  store: ScorebookStore,
  grading: GradingId,
  lines: readonly StoredEntry[],
  sound: readonly SideRecord[],
): Promise<SideRecordId[]> {
  const check = new SideCheck(testSides);
  for (const { entry } of lines) check.note(entry);
  const here = await store.sides(grading);
  for (const side of here) check.take(side);
  const offered = new Set(sound.map(({ id }) => id));
  return here.flatMap(({ id }) => (offered.has(id) && !check.isTrue(id) ? [id] : []));
}

interface Trust {
  erasedBefore: readonly string[];
  /** What the hub is known by that signed the file; empty where none did. */
  signer: string;
  /** It is this store's own hub, or one that whoever imports vouches for. */
  isTrusted: boolean;
}

/** Whether a copy would add to a book that is here already. */
function isNews(lines: readonly StoredEntry[], { entries }: ReadScorebook): boolean {
  const here = new Set(lines.map(({ entry }) => entry.id));
  return here.size > 0 && entries.some(({ id }) => !here.has(id));
}

/** Marks that belong nowhere, as `report` would say of the file. What a hub signed it has taken, and they are told instead (`strayRemarks`). */
export const straysOf = (book: Scorebook, its: ReadScorebook, file: string): Complaint[] =>
  signerAtEnd(its) !== ""
    ? []
    : strayMarks(book, its.entries)
        .slice(0, STRAYS_SHOWN)
        .map(({ entry, cell, fault }) => ({
          say: "stray-mark",
          with: { sentence: faultInWords(fault), id: its.entries[entry]?.id ?? "" },
          file,
          path: pathText(["entries", entry, "body", "cells", cell]),
        }));

/** Entries of the file that cannot stand beside what the store holds. */
function clashesWith(
  lines: readonly StoredEntry[],
  { entries }: ReadScorebook,
  file: string,
): Complaint[] {
  const byId = new Map(lines.map(({ entry }) => [entry.id as string, entry]));
  const places = new Set(lines.map(({ entry }) => `${entry.device}/${entry.n}`));
  return entries.flatMap((entry, index): Complaint[] => {
    const same = byId.get(entry.id);
    if (same)
      return isDeepStrictEqual(plain(same), plain(entry))
        ? []
        : [{ say: "scorebook-id-reused", file, path: pathText(["entries", index, "id"]) }];
    return places.has(`${entry.device}/${entry.n}`)
      ? [{ say: "scorebook-n-reused", file, path: pathText(["entries", index, "n"]) }]
      : [];
  });
}

const plain = (value: unknown): unknown => JSON.parse(JSON.stringify(value));
