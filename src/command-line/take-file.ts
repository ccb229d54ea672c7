import type { ChiefsWord } from "../belt-test/intake/chiefs-word.ts";
import { isSealedWith } from "../belt-test/scorebook/file-seal.ts";
import type { ReadScorebook } from "../belt-test/scorebook/read-scorebook-file.ts";
import type { AnyEntry } from "../book/entry.ts";
import type { PersonId } from "../book/identity.ts";
import { checkedHeads } from "../hub/seals/checked-heads.ts";
import { keepHeads } from "../hub/seals/kept-heads.ts";
import { ownBox } from "../hub/seals/own-key.ts";
import { hashOf } from "../hub/seals/secrets.ts";
import { openErasedLog } from "../hub/store/erased-log.ts";
import { noteCopied } from "../hub/store/is-copy.ts";
import { lostPlansIn } from "../hub/test-room/lost-plan.ts";
import { type TakenFile, takePersonsFile } from "../hub/test-room/persons-file.ts";
import type { DeviceRow, DoorTables } from "../ports/door-tables.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { signerAtEnd } from "./file-remarks.ts";
import type { readScorebook } from "./read-scorebook.ts";
import { takeHubsFile } from "./take-hubs-file.ts";
import { type Complaint, Trouble } from "./trouble.ts";

/** A file, and what it is called on the command line. */
export interface Given {
  name: string;
  file: ReturnType<typeof readScorebook>;
}
/** Of the lines of a file those that are offered this time. */
export type Only = (entry: AnyEntry) => boolean;
export interface Taken extends Required<TakenFile> {
  heads: Awaited<ReturnType<typeof checkedHeads>>;
  /** The test is of no hub: its chief's device said itself what it held. */
  isFromRoad: boolean;
}

export interface Taking {
  signedBy: string | undefined;
  dataFolder: string;
  word?: ChiefsWord | undefined;
  only?: Only | undefined;
}

/** Takes one file into an open store: a hub's copy whole or not at all, of a tablet's what its person may write. @throws Trouble */
export async function takeFile(
  { store, door }: { store: ScorebookStore; door: DoorTables },
  { name, file }: Given,
  { signedBy, dataFolder, word, only }: Taking,
): Promise<Taken> {
  const { grading } = file;
  const erasedBefore = openErasedLog(dataFolder).of(grading);
  const key = await door.setting("public-key");
  const own = key === undefined ? "" : hashOf(key);
  const trusted = [own, signedBy?.toLowerCase()];
  const signer = signerAtEnd(file);
  const isTrusted = file.chain.length > 0 && trusted.includes(signer);
  const atDoor = await door.devices(grading);
  const lostPlans = lostPlansIn(door);
  await noteCopied(
    door,
    () => store.gradings(),
    (one) => lostPlans.note(one, true),
  );
  const offered = only ? { ...file, entries: file.entries.filter(only) } : file;
  const took = isPersons(offered)
    ? await takePersonsFile(
        store,
        offered,
        erasedBefore,
        atDoor,
        await ownBox(door),
        lostPlans,
        word,
      )
    : await takeHubsFile(store, file, name, { erasedBefore, signer, isTrusted });
  if (!took)
    throw new Trouble([
      { say: "import-stranger", file: name, with: { person: file.person ?? "", grading } },
    ]);
  const heads = await checkedHeads(store, file.heads, own);
  const isSigned = (_: unknown, at: number) => heads[at]?.result !== "forged";
  await keepHeads(door, file.heads.filter(isSigned));
  return { mended: 0, ...took, heads, isFromRoad: atDoor.length === 0 };
}

/** Of a file that was taken more than once, the last time with all its lines. */
export function togetherWith(before: Taken | undefined, now: Taken): Taken {
  if (!before) return now;
  const added = new Set([...before.added, ...now.added]);
  return {
    ...now,
    added: [...added],
    known: now.known.filter((id) => !added.has(id)),
    mended: before.mended + now.mended,
  };
}

/** What the file's person wrote; what others did their own files bring. */
export const ownAmong = ({ person }: ReadScorebook, refused: Taken["refused"]): Taken["refused"] =>
  refused.filter(({ by }) => by === person);

/** What one tablet held, as it says; a hub's own copy names nobody. */
export const isPersons = (file: ReadScorebook): file is ReadScorebook & { person: PersonId } =>
  file.person !== undefined;

/** @throws Trouble about every tablet's file that anybody may have written: before anything is taken of the others. */
export async function refuseNobodys(door: DoorTables, files: readonly Given[]): Promise<void> {
  const complaints: Complaint[] = [];
  for (const { name: file, file: read } of files)
    if (isNobodys(read, await door.devices(read.grading)))
      complaints.push({ say: "import-unvouched", file, with: { person: read.person ?? "" } });
  if (complaints.length > 0) throw new Trouble(complaints);
}

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
