import { mkdirSync } from "node:fs";
import { resolve } from "node:path";
import { type ChiefsWord, chiefsWord } from "../belt-test/intake/chiefs-word.ts";
import type { Role } from "../belt-test/kinds/body-parts.ts";
import { isSealedWith } from "../belt-test/scorebook/file-seal.ts";
import type { ReadScorebook } from "../belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../belt-test/scorebook/scorebook.ts";
import type { PersonId } from "../book/identity.ts";
import { headApart } from "../hub/copies/file-break.ts";
import { lostPlansIn } from "../hub/room/lost-plan.ts";
import { type TakenFile, takePersonsFile } from "../hub/room/persons-file.ts";
import { checkedHeads } from "../hub/seals/checked-heads.ts";
import { keepHeads } from "../hub/seals/kept-heads.ts";
import { ownBox } from "../hub/seals/own-key.ts";
import { hashOf } from "../hub/seals/secrets.ts";
import { openErasedLog } from "../hub/store/erased-log.ts";
import { noteCopied } from "../hub/store/is-copy.ts";
import type { DeviceRow, DoorTables } from "../ports/door-tables.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import type { Command } from "./command.ts";
import { storeOptions, storePlace, withStore } from "./data-store.ts";
import { fileRemarks, signerAtEnd, verdictRemarks } from "./file-remarks.ts";
import { optionsOf } from "./options.ts";
import { readScorebook } from "./read-scorebook.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";
import { takeHubsFile } from "./take-hubs-file.ts";
import { takeTogether } from "./take-in-turn.ts";
import { Trouble } from "./trouble.ts";

/** So many refused entries are named one by one. */
const REFUSED_SHOWN = 20;

/**
 * `import FILE …`: scorebook files into a hub's store. A hub's copy whole or not at all; of a tablet's file what its person may write.
 */
export const importCommand: Command = {
  help: "help-import",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      "signed-by": { type: "string" },
      vouch: { type: "boolean" },
    });
    if (positionals.length === 0) throw new Trouble([{ say: "import-no-file" }]);
    const files = positionals
      .map((name) => ({ name, file: readScorebook(resolve(folder, name)) }))
      .sort((a, b) => turnOf(a.file) - turnOf(b.file));
    const other = files.find(({ file }) => file.grading !== files[0]?.file.grading);
    if (other) throw new Trouble([{ say: "import-several-tests", file: other.name }]);
    const place = storePlace(values, folder);
    makeFolder(place.dataFolder);
    // A hub at work with the folder numbers its lines by heart and would not see these come in; with a database it reads on.
    return withStore(place, { alone: true, makes: true }, async (opened) => {
      const taken = new Map<Given, Taken>();
      const word = newestWord(files.map(({ file }) => file));
      await takeTogether(files, word, async (given, said) => {
        const now = await takeFile(opened, given, {
          signedBy: values["signed-by"],
          isVouchedFor: values.vouch === true,
          dataFolder: place.dataFolder,
          word: said,
        });
        taken.set(given, togetherWith(taken.get(given), now));
        return { added: now.added.length, waiting: ownAmong(given.file, now.refused).length };
      });
      // What one file has of others, theirs have brought meanwhile.
      const here = new Set([...taken.values()].flatMap(({ added, known }) => [...added, ...known]));
      for (const [given, last] of taken) {
        const took = { ...last, refused: last.refused.filter(({ id }) => !here.has(id)) };
        if (files.length > 1 && !values.json) out(given.name);
        const said = values.json ? [inJson(given, took)] : inWords(given, took);
        for (const line of said) out(line);
      }
      return 0;
    });
  },
};

/** A file, and what it is called on the command line. */
interface Given {
  name: string;
  file: ReturnType<typeof readScorebook>;
}
interface Taken extends Required<TakenFile> {
  heads: Awaited<ReturnType<typeof checkedHeads>>;
  /** The test is of no hub: its chief's device said itself what it held. */
  isFromRoad: boolean;
}

async function takeFile(
  { store, door }: { store: ScorebookStore; door: DoorTables },
  { name, file }: Given,
  {
    signedBy,
    isVouchedFor,
    dataFolder,
    word,
  }: {
    signedBy: string | undefined;
    isVouchedFor: boolean;
    dataFolder: string;
    word: ChiefsWord | undefined;
  },
): Promise<Taken> {
  const { grading } = file;
  const erasedBefore = openErasedLog(dataFolder).of(grading);
  const key = await door.setting("public-key");
  const own = key === undefined ? "" : hashOf(key);
  const trusted = [own, signedBy?.toLowerCase()];
  const signer = signerAtEnd(file);
  const isTrusted = file.chain.length > 0 && trusted.includes(signer);
  const atDoor = await door.devices(grading);
  if (!isVouchedFor && isNobodys(file, atDoor))
    throw new Trouble([
      { say: "import-unvouched", file: name, with: { person: file.person ?? "" } },
    ]);
  const lostPlans = lostPlansIn(door);
  await noteCopied(
    door,
    () => store.gradings(),
    (one) => lostPlans.note(one, true),
  );
  const took = isPersons(file)
    ? await takePersonsFile(store, file, erasedBefore, atDoor, await ownBox(door), lostPlans, word)
    : await takeHubsFile(store, file, name, { erasedBefore, signer, isTrusted });
  if (!took)
    throw new Trouble([
      { say: "import-stranger", file: name, with: { person: file.person ?? "", grading } },
    ]);
  const heads = await checkedHeads(store, file.heads, own);
  await keepHeads(door, file.heads);
  return { mended: 0, ...took, heads, isFromRoad: atDoor.length === 0 };
}

/** Of a file that was taken more than once. */
const togetherWith = (before: Taken | undefined, now: Taken): Taken =>
  before
    ? {
        ...now,
        added: [...before.added, ...now.added],
        known: before.known,
        mended: before.mended + now.mended,
      }
    : now;

/** What the file's person wrote; what others did their own files bring. */
const ownAmong = ({ person }: ReadScorebook, refused: Taken["refused"]): Taken["refused"] =>
  refused.filter(({ by }) => by === person);

function inJson({ file }: Given, { added, known, refused, mended, heads }: Taken): string {
  const isSigned = !isPersons(file) && file.chain.length > 0;
  const apart = isSigned ? headApart(file) : undefined;
  const verdicts = verdictRemarks(fold(file.entries));
  const left = refused.map(({ id, kind, by, fault: { code } }) => ({ id, kind, by, code }));
  return JSON.stringify({
    grading: file.grading,
    added: added.length,
    known: known.length,
    mended,
    signed: isSigned,
    heads,
    ...(apart && { apart }),
    ...(verdicts.length > 0 && { verdicts }),
    ...(isPersons(file) && { person: file.person, refused: left }),
  });
}

function inWords({ file }: Given, took: Taken): string[] {
  const { grading, person = "" } = file;
  const { added, known, refused, mended, heads } = took;
  const said = [
    sayTerminal("imported", { grading, added: added.length, known: known.length, mended }),
  ];
  const own = ownAmong(file, refused);
  if (refused.length > 0) {
    const { length: count } = refused;
    const more = Math.max(0, count - REFUSED_SHOWN);
    said.push(sayTerminal("import-refused", { count, person, most: REFUSED_SHOWN, more }));
    const ownFirst = [...own, ...refused.filter((one) => !own.includes(one))];
    for (const { id, kind, by, fault } of ownFirst.slice(0, REFUSED_SHOWN))
      said.push(
        `  ${sayTerminal("import-refused-one", { id, kind, by, sentence: faultInWords(fault) })}`,
      );
  }
  if (took.isFromRoad && own.length > 0) {
    said.push(sayTerminal("import-once-more", { count: own.length }));
  }
  if (mended > 0) said.push(sayTerminal("imported-mended", { count: mended }));
  said.push(...fileRemarks(file), ...verdictRemarks(fold(file.entries)));
  for (const { seq, result } of heads)
    if (result === "rewritten")
      said.push(sayTerminal("verify-kept-rewritten", { test: grading, seq }));
  return said;
}

/** What one tablet held, as it says; a hub's own copy names nobody. */
const isPersons = (file: ReadScorebook): file is ReadScorebook & { person: PersonId } =>
  file.person !== undefined;

/** Of several files of the chief's device the newest has all that the others have. */
const newestWord = (files: readonly ReadScorebook[]): ChiefsWord | undefined =>
  files
    .toSorted((a, b) => b.entries.length - a.entries.length)
    .map(chiefsWord)
    .find((word) => word !== undefined);

/** A chief's comes first: all others write by what it says of the plan. */
const turnOf = (file: ReadScorebook): number => (rolesAsSaid(file).includes("chief") ? 0 : 1);
const rolesAsSaid = (file: ReadScorebook): readonly Role[] =>
  (isPersons(file) && fold(file.entries).plan.seat(file.person)?.roles) || [];

/**
 * Whether a tablet's file bears no seal of a tablet that the door knows as its person's: whoever had one in hand may have written it.
 * Where no door knows of the test, nobody could have sealed it.
 */
function isNobodys(
  { person, sealed }: Pick<ReadScorebook, "person" | "sealed">,
  atDoor: readonly DeviceRow[],
): boolean {
  if (person === undefined || atDoor.length === 0) return false;
  // Of a tablet that was shut out, perhaps since it was lost, the seal is whoever's has it now.
  const row = atDoor.find(
    ({ device, state }) => state === "admitted" && device === sealed?.seal.device,
  );
  return !(
    sealed &&
    row?.person === person &&
    isSealedWith(sealed.held, sealed.seal, row.tokenHash)
  );
}

function makeFolder(data: string): void {
  try {
    mkdirSync(data, { recursive: true, mode: 0o700 });
  } catch (cause) {
    const { code = "" } = cause as { code?: string };
    throw new Trouble([{ say: "cannot-write", file: data, with: { detail: code } }]);
  }
}
