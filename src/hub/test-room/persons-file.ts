import { type ChiefsWord, openerIn } from "../../belt-test/intake/chiefs-word.ts";
import { ownDevices } from "../../belt-test/intake/persons-file.ts";
import { rolesInFile } from "../../belt-test/intake/roles-in-file.ts";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import { isChief } from "../../belt-test/permit/writer.ts";
import { isKnown } from "../../belt-test/scorebook/entry.ts";
import { heldFirst } from "../../belt-test/scorebook/held-first.ts";
import type { ReadScorebook } from "../../belt-test/scorebook/read-scorebook-file.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { Fault } from "../../book/faults.ts";
import type { DeviceId, EntryId, PersonId } from "../../book/identity.ts";
import { inOrder } from "../../book/in-order.ts";
import type { DeviceRow } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { Handed } from "../room/handed.ts";
import type { HeldBox } from "../seals/held-box.ts";
import { canonicalText } from "../store/chain.ts";
import type { Author } from "./author.ts";
import { GradingRoom } from "./grading-room.ts";
import { type LostPlans, noLostPlans } from "./lost-plan.ts";

/** An entry of somebody's file that was not taken. */
interface NotTaken {
  id: EntryId;
  kind: string;
  by: PersonId;
  fault: Fault;
}
export interface TakenFile {
  added: EntryId[];
  known: EntryId[];
  refused: NotTaken[];
  /** Names and texts here that were not what their entries refer to, and gave way to the file's. */
  mended?: number;
}

/**
 * Takes what a tablet saved into a store, as if its person handed it in over the line: each entry in the name of the file's person, with the roles that
 * the store's own book gives them. Asked by the room itself, so that no question is put here that is not put there, and none is left out.
 * Of others only what the store holds already is let pass; what is refused is named, and the rest taken all the same.
 *
 * Where the store knows nothing of the test, whoever opened it is its chief.
 * @param atDoor  the devices that the hub's door knows of this test
 * @param box  the hub's, by which it knows its own word about what it held
 * @param lostPlans  of which tests the store was put back from an older copy: a chief's file comes first there, as a chief's tablet does
 * @param word  what the chief's device took of a test that no hub had
 * @returns undefined where the book knows no such person.
 */
export async function takePersonsFile(
  store: ScorebookStore,
  file: ReadScorebook & { person: PersonId },
  erasedBefore: Iterable<string>,
  atDoor: readonly Pick<DeviceRow, "device" | "person">[] = [],
  box?: HeldBox,
  lostPlans: LostPlans = noLostPlans,
  word: ChiefsWord | undefined = undefined,
): Promise<TakenFile | undefined> {
  const { grading, person } = file;
  // A test that is on a hub has a hub that says what it held; only on the road without one the chief's device says it itself.
  const isOfHub = atDoor.length > 0;
  const room = await GradingRoom.open(grading, store, "import", {
    erasedBefore: () => erasedBefore,
    ...(isOfHub && { box, lostPlans }),
  });
  const roles = rolesIn(room.book, file);
  if (!roles) return undefined;
  // What others wrote, and this person was sent, is nothing to hand in.
  const isHere = (entry: AnyEntry) => {
    const its = room.book.entry(entry.id);
    return its !== undefined && canonicalText(its) === canonicalText(entry);
  };
  const before = new Set(file.entries.flatMap((entry) => (isHere(entry) ? [entry.id] : [])));
  const news = file.entries.filter((entry) => !isHere(entry));
  const opener = openerIn(room.book.entries());
  const isOpeners = opener === undefined || opener === word?.person;
  const its = isOfHub || !isOpeners ? undefined : word;
  const alsoOn = ownDevices(room.book, person, file.entries, atDoor, its);
  const [device = "" as DeviceId] = alsoOn;
  const author: Author = {
    person,
    roles,
    device,
    alsoOn,
    isFromRoad: !isOfHub,
    chiefsWord: its,
  };
  const { kept, refused } = await handInWhole(room, author, { entries: news, sides: file.sides });
  await room.hasCome({ device, isChief: isChief(author), isNew: false });
  const byId = new Map(file.entries.map((entry) => [entry.id, entry]));
  return {
    added: kept.filter((id) => !before.has(id)),
    known: [...before],
    refused: refused.flatMap(({ id, fault }) => {
      const entry = id && byId.get(id);
      return entry ? [{ id, kind: entry.kind, by: entry.by, fault }] : [];
    }),
  };
}

/** Offers again what was only too far ahead, as the line does, as long as anything of it is taken; in the end without waiting for it. */
async function handInWhole(
  room: GradingRoom,
  author: Author,
  { entries, sides }: Pick<ReadScorebook, "entries" | "sides">,
): Promise<Handed> {
  const kept: EntryId[] = [];
  let waiting = heldFirst(inOrder(entries));
  let isDone = false;
  for (;;) {
    const answer = await room.handIn({ ...author, isDone }, waiting, sides);
    kept.push(...answer.kept);
    const early = answer.refused.some(({ fault }) => fault.code === "LAMPORT_TOO_HIGH");
    if (isDone || !early) return { kept, refused: answer.refused };
    isDone = answer.kept.length === 0;
    const again = new Set(answer.refused.map(({ id }) => id));
    waiting = waiting.filter(({ id }) => again.has(id));
  }
}

/**
 * What the store's book lets this person do, perhaps nothing any more; in a book that is not there yet, whoever opened it is chief, and has the seat it says.
 * @returns undefined for a stranger
 */
function rolesIn(
  book: Scorebook,
  { person, entries }: ReadScorebook & { person: PersonId },
): readonly Role[] | undefined {
  if (book.plan.opened) return book.plan.seat(person) && rolesInFile(book, person);
  const known = entries.filter(isKnown);
  // Anybody may have given it a title since, or say so in a file of their own.
  if (openerIn(known) !== person) return undefined;
  const seat = known.findLast(
    (entry) => entry.kind === "seated" && entry.by === person && entry.body.person === person,
  );
  return [...new Set<Role>(["chief", ...(seat?.kind === "seated" ? seat.body.roles : [])])];
}
