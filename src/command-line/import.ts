import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { isDeepStrictEqual } from "node:util";
import type { GradingId, SideRecordId } from "../core/identity.ts";
import { pathText } from "../core/rubric/finding.ts";
import type { ReadScorebook } from "../core/scorebook/read-scorebook-file.ts";
import { fold } from "../core/scorebook/scorebook.ts";
import type { SideRecord } from "../core/scorebook/side-record.ts";
import { checkedHeads } from "../hub/checked-heads.ts";
import { signerOf } from "../hub/head-signer.ts";
import { keepHeads } from "../hub/kept-heads.ts";
import { hashOf } from "../hub/secrets.ts";
import { openErasedLog } from "../hub/storage/erased-log.ts";
import type { Appended, ScorebookStore, StoredEntry } from "../ports/scorebook-store.ts";
import { SideCheck } from "../sync/side-check.ts";
import { sayTerminal } from "../words/terminal-words.ts";
import type { Command } from "./command.ts";
import { storeOptions, storePlace, withStore } from "./data-store.ts";
import { optionsOf } from "./options.ts";
import { readScorebook } from "./read-scorebook.ts";
import { type Complaint, Trouble } from "./trouble.ts";

/** `import FILE`: a scorebook file into a hub's store, whole or not at all. */
export const importCommand: Command = {
  help: "help-import",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, storeOptions);
    const [name, ...more] = positionals;
    if (name === undefined || more.length > 0) throw new Trouble([{ say: "import-one-file" }]);
    const file = readScorebook(resolve(folder, name));
    const { grading } = file;
    const place = storePlace(values, folder);
    makeFolder(place.dataFolder);
    // A hub at work with the folder numbers its lines by heart and would not see these come in; with a database it reads on.
    return withStore(place, { alone: true, makes: true }, async ({ store, door }) => {
      const erasedBefore = openErasedLog(place.dataFolder).of(grading);
      const { appended, erased, mended } = await taken(store, file, name, erasedBefore);
      // What an import from before had brought, or the file itself says.
      for (const about of erased) await store.erase(grading, about);
      const key = await door.setting("public-key");
      const heads = await checkedHeads(store, file.heads, key === undefined ? "" : hashOf(key));
      await keepHeads(door, file.heads);
      const { added, known } = appended;
      const counts = { grading, added: added.length, known: known.length, mended };
      if (values.json) out(JSON.stringify({ ...counts, signed: file.chain.length > 0, heads }));
      else {
        out(sayTerminal("imported", counts));
        if (mended > 0) out(sayTerminal("imported-mended", { count: mended }));
        if (file.chain.length > 0)
          out(sayTerminal("imported-signed", { signer: signerAtEnd(file) }));
        if (file.chain.length > 0 && file.lacking > 0)
          out(sayTerminal("imported-lacking", { count: file.lacking }));
        for (const { seq, result } of heads)
          if (result === "rewritten")
            out(sayTerminal("verify-kept-rewritten", { test: grading, seq }));
      }
      return 0;
    });
  },
};

/** What the hub is known by that signed the end of the file's chain. */
function signerAtEnd({ heads, chain }: ReadScorebook): string {
  const head = heads.find(
    ({ seq, chain: link }) => seq === chain.length && link === chain.at(-1)?.link,
  );
  return (head && signerOf(head)) ?? "";
}

function makeFolder(data: string): void {
  try {
    mkdirSync(data, { recursive: true, mode: 0o700 });
  } catch (cause) {
    const { code = "" } = cause as { code?: string };
    throw new Trouble([{ say: "cannot-write", file: data, with: { detail: code } }]);
  }
}

/**
 * Writes the file's entries behind what the store holds; of whom was erased, there or here or before, no names and texts.
 * @throws Trouble, and nothing is written, where they cannot stand beside each other.
 */
async function taken(
  store: ScorebookStore,
  file: ReadScorebook,
  name: string,
  erasedBefore: readonly string[],
): Promise<{ appended: Appended; erased: ReadonlySet<string>; mended: number }> {
  const { grading, entries } = file;
  const held = await store.read(grading, 0);
  let clashes: Complaint[] = [];
  let erased: ReadonlySet<string> = new Set();
  const decided = (lines: readonly StoredEntry[]) => {
    clashes = clashesWith(lines, file, name);
    const book = fold([...lines.map(({ entry }) => entry), ...entries]);
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
  return { appended, erased, mended: wrong.length };
}

/** Of these records, sound in the file, those that lie here and are not what this store's entries refer to. */
async function wrongHere(
  store: ScorebookStore,
  grading: GradingId,
  lines: readonly StoredEntry[],
  sound: readonly SideRecord[],
): Promise<SideRecordId[]> {
  const check = new SideCheck();
  for (const { entry } of lines) check.note(entry);
  const here = await store.sides(grading);
  for (const side of here) check.take(side);
  const offered = new Set(sound.map(({ id }) => id));
  return here.flatMap(({ id }) => (offered.has(id) && !check.isTrue(id) ? [id] : []));
}

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
