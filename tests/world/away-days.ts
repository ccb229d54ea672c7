import { chiefsWord } from "../../src/belt-test/intake/chiefs-word.ts";
import { mergeable } from "../../src/belt-test/intake/persons-file.ts";
import { heldAtGiving, heldAtOpening } from "../../src/belt-test/scorebook/held-on-the-road.ts";
import { mayTakeOver } from "../../src/belt-test/scorebook/may-take-over.ts";
import { readScorebookFile } from "../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import { sight } from "../../src/belt-test/scorebook/sight.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import { takeByHub } from "../../src/command-line/take-in-turn.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { takePersonsFile } from "../../src/hub/test-room/persons-file.ts";
import { aBox } from "../builders/a-box.ts";
import { aGradingId, anIdOf } from "../builders/a-pen.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { Dice } from "./dice.ts";
import { atOnce } from "./lying-hall.ts";
import { RoomChief } from "./room-chief.ts";
import { said } from "./room-days.ts";
import { isAsked, type RoomHall, roomHall, SECTIONS, writePlan } from "./room-hall.ts";
import { RoomJudge } from "./room-judge.ts";
import type { RoomTablet } from "./room-tablet.ts";

/** So often somebody does something with the hub there, and then without it. */
const [BEFORE, AWAY] = [40, 60];
/** Ids of the hub's own lines are none of anybody's tablet. */
const OF_HUB = 1_000_000;

export interface AwayDay {
  /** Child by child, as the chief's page said it when the hub was away, and as the hub says it when everybody is back. */
  page: readonly string[];
  hub: readonly string[];
  /** What the chief wrote while the hub was away, and the kinds of what the hub did not take of it, which the chief's tablet says. */
  written: readonly AnyEntry[];
  refused: readonly string[];
}

/**
 * A random day with a hub that goes away: the chief's device takes files of the judges, with locks and without, opens, gives places away and decides by them.
 * Then everybody is back. The same seed tells the same day.
 *
 * @param isRestless  the judges mark and lock on behind the chief's openings, and their files come again
 * @param way  how the hub comes to have all of it: tablets in a random order, the chief's when the hub has the locks of the files; or all files by `import`
 */
export async function playAwayDay(
  seed: number,
  way: "line" | "import",
  isRestless = false,
): Promise<AwayDay> {
  const dice = new Dice("away", seed);
  const hall = roomHall(dice);
  const [chief] = hall.chiefs;
  const judges = hall.judges.filter(({ device }) => !device.endsWith("second-tablet"));
  const hands = judges.map((tablet) => new RoomJudge(tablet, hall, dice));
  const others = [...judges, hall.desk];
  const all = [chief, ...others];
  const store = openMemoryScorebook();
  let ids = OF_HUB;
  const room = await GradingRoom.open(aGradingId, store, "hub", {
    clock: atOnce,
    makeId: () => anIdOf(++ids),
    box: aBox(),
  });
  const meets = (tablet: RoomTablet) => tablet.meet(room, 50, () => undefined);
  writePlan(hall, dice);
  for (let round = 0; round < 2; round++) for (const tablet of all) await meets(tablet);
  for (const candidate of hall.children) hall.desk.write("checked-in", { candidate });
  for (let stroke = 0; stroke < BEFORE; stroke++) {
    dice.pick(hands).act();
    await meets(dice.pick(all));
  }
  for (let round = 0; round < 3; round++) for (const tablet of all) await meets(tablet);

  const had = chief.lines.length;
  const since = chief.book.lamport;
  const away = new RoomChief(chief, hall, dice, { isOnRoad: true });
  for (let stroke = 0; stroke < AWAY; stroke++) dice.pick(hands).act();
  for (const tablet of others) bring(tablet, chief);
  for (let stroke = 0; stroke < 12; stroke++) {
    if (isRestless && dice.falls(0.7)) dice.pick(hands).act();
    else if (isRestless && dice.falls(0.4)) bring(dice.pick(others), chief);
    else if (dice.falls(0.3)) givesAway(chief, hall, dice);
    else opens(chief, hall, dice);
  }
  for (const tablet of others) bring(tablet, chief);
  away.openAll();
  away.issueAll();
  if (dice.falls(0.5)) away.close();
  const page = said(chief.book);
  const written = chief.lines.slice(had).filter(({ by }) => by === chief.person);

  if (way === "import") {
    await importAll(store, [chief, ...shuffled(others, dice)], since);
  } else {
    const mayCome = () =>
      chief.lines.every((line) => room.book.entry(line.id) || !isWaitedFor(chief, line));
    const order = shuffled(others, dice);
    for (const [at, tablet] of order.entries()) {
      await meets(tablet);
      if (at < order.length - 1 && mayCome() && dice.falls(0.5)) await meets(chief);
    }
    for (let round = 0; round < 3; round++) for (const tablet of all) await meets(tablet);
  }
  const hub = fold((await store.read(aGradingId, 0)).map(({ entry }) => entry));
  const refused = written.flatMap(({ id, kind }) => (hub.entry(id) ? [] : [kind]));
  return { page, hub: said(hub), refused, written };
}

/** Of a file: the hub is to have it before what the chief wrote by it. */
const isWaitedFor = ({ person, roles }: RoomTablet, line: AnyEntry): boolean =>
  line.by !== person && (line.kind === "locked" || sight({ person, roles }, line) === "now");

/** What the tablet holds, taken as the chief's device takes a file. */
function bring({ person, lines }: RoomTablet, chief: RoomTablet): void {
  const file = { grading: aGradingId, entries: lines };
  const sides = { refsOf: () => [], hasSide: () => true };
  chief.hear(mergeable(chief.book, file, person, sides).taken);
}

/** All files, as one `import` takes them into the store of a hub that knows these tablets. */
async function importAll(
  store: ReturnType<typeof openMemoryScorebook>,
  tablets: readonly RoomTablet[],
  since: number,
): Promise<void> {
  const [chief] = tablets as [RoomTablet];
  const word = chiefsWord({ person: chief.person, entries: chief.lines });
  if (!word) throw new Error("the chief's file is no chief's");
  const atDoor = tablets.map(({ device, person }) => ({ device, person }));
  const steps = {
    isBefore: ({ lamport }: AnyEntry) => lamport <= since,
    had: (line: AnyEntry) => word.took(line),
  };
  await takeByHub<RoomTablet, AnyEntry>(tablets, chief, steps, async (tablet, only) => {
    const { person, sides } = tablet;
    const lines = only ? tablet.lines.filter(only) : tablet.lines;
    const read = readScorebookFile(scorebookFile(aGradingId, lines, sides, person));
    if (!read.ok) throw new Error(`${person}'s file cannot be read`);
    const took = await takePersonsFile(store, { ...read.file, person }, [], atDoor, aBox());
    const own = took?.refused.filter(({ by }) => by === person) ?? [];
    return { added: took?.added.length ?? 0, waiting: own.length };
  });
}

function shuffled<T>(list: readonly T[], dice: Dice): T[] {
  const order = list.map((one) => ({ one, at: dice.share() }));
  return order.sort((a, b) => a.at - b.at).map(({ one }) => one);
}

/** Opens what is closed without whoever has not locked there. */
function opens(chief: RoomTablet, hall: RoomHall, dice: Dice): void {
  const [candidate, section] = [dice.pick(hall.children), dice.pick(SECTIONS)];
  if (!isAsked(chief, candidate, section)) return;
  if (chief.book.openings.isRevealed(candidate, section)) return;
  const { reason, side } = hall.because(dice.pick(hall.panel));
  const held = heldAtOpening(chief.book, candidate, section);
  chief.write("revealed", { section, candidates: [candidate], reason, ...held }, { side });
}
/** Gives all places of a judge to somebody to whom the board offers them. */
function givesAway(chief: RoomTablet, { judges }: RoomHall, dice: Dice): void {
  const { book } = chief;
  const [judge, by] = [dice.pick(judges).person, dice.pick(judges).person];
  const isLocked = (...[who, candidate, section]: Parameters<typeof book.openings.hasLocked>) =>
    book.openings.hasLocked(who, candidate, section);
  if (judge === by || book.panel.successor(by) !== by) return;
  if (!mayTakeOver(book, judge, by, isLocked)) return;
  const places = book.panel.assignments.flatMap((one) =>
    book.panel.successor(one.judge) === judge ? [one.judge] : [],
  );
  if (places.length === 0) return;
  const held = heldAtGiving(book, { judge, by });
  const given = { judge, by, places: [...new Set(places)], isHeldBeside: true };
  const { id: of } = chief.write("judge-replaced", given);
  chief.write("held-at-giving", { of, ...held });
}
