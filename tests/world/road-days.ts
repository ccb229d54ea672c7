import { chiefsWord } from "../../src/belt-test/intake/chiefs-word.ts";
import { mergeable } from "../../src/belt-test/intake/persons-file.ts";
import { readScorebookFile } from "../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fold, type Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import { isPlanning } from "../../src/belt-test/scorebook/test-pack.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { EntryId } from "../../src/book/identity.ts";
import { type PassedOver, withPassedOver } from "../../src/book/passed-over.ts";
import { takeTogether } from "../../src/command-line/take-in-turn.ts";
import { takePersonsFile } from "../../src/hub/test-room/persons-file.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { Dice } from "./dice.ts";
import { RoomChief } from "./room-chief.ts";
import { said } from "./room-days.ts";
import { type RoomHall, roomHall, writePlan } from "./room-hall.ts";
import { RoomJudge } from "./room-judge.ts";
import type { RoomTablet } from "./room-tablet.ts";

/** So often somebody does something on one day. */
const STROKES = 130;

export interface RoadDay {
  /** What the hub says otherwise than the chief's device, child by child; empty where it says the same. */
  otherwise: string[];
  /** What the chief's device goes by and the hub lacks. */
  lacking: readonly string[];
  /** What the chief's device passed over and the hub has. */
  beside: readonly string[];
  written: readonly AnyEntry[];
}

/**
 * A random day without a hub: packs go out and files come back, to one chief's device, and in the evening all files go into a hub in one command.
 * The same seed tells the same day.
 *
 * @param isUnquiet  the chief takes helpers out of the panel and gives them other roles, and a judge has two tablets
 */
export async function playRoadDay(
  seed: number,
  { isUnquiet = false }: { isUnquiet?: boolean } = {},
): Promise<RoadDay> {
  const dice = new Dice("road", seed);
  const hall = roomHall(dice);
  const [chief] = hall.chiefs;
  const judges = hall.judges.filter(({ device }) => isUnquiet || !device.endsWith("second-tablet"));
  const hands = judges.map((tablet) => new RoomJudge(tablet, hall, dice));
  const passed = { codes: new Map<EntryId, string>(), over: [] as PassedOver };
  const decides = new RoomChief(chief, hall, dice, { isOnRoad: true, givesBack: seed % 3 === 0 });
  const others = [...judges, hall.desk];
  writePlan(hall, dice);
  for (const tablet of others) pack(chief, tablet);
  for (let stroke = 0; stroke < STROKES; stroke++) {
    const chance = dice.share();
    if (isUnquiet && dice.falls(0.03)) seat(dice.pick(others), chief, dice);
    if (chance < 0.2) decides.act();
    else if (chance < 0.25) atDesk(hall, dice);
    else if (chance < 0.75) dice.pick(hands).act();
    else if (chance < 0.9) bring(dice.pick(others), chief, passed);
    else pack(chief, dice.pick(others));
  }
  for (const tablet of others) bring(tablet, chief, passed);
  decides.openAll();
  decides.issueAll();
  if (dice.falls(0.6)) decides.close();
  const refused = new Map<string, string>();
  const files = [chief, ...others.toSorted(() => dice.share() - 0.5)];
  const hub = await intoHub(files, passed.over, refused);
  const here = said(chief.book);
  return {
    otherwise: said(hub).flatMap((words, at) => otherwise(words, here[at] ?? "{}")),
    lacking: chief.lines
      .filter(({ id }) => !hub.entry(id))
      .map(
        ({ id, kind, by, body }) => `${kind} of ${by} ${refused.get(id)} ${JSON.stringify(body)}`,
      ),
    beside: [...passed.codes].flatMap(([id, code]) => {
      const entry = hub.entry(id);
      return entry ? [`${entry.kind} of ${entry.by} ${code}`] : [];
    }),
    written: chief.lines,
  };
}

function seat({ person }: RoomTablet, chief: RoomTablet, dice: Dice): void {
  const roles = dice.pick([[], [], ["desk"], ["caller"], ["judge"], ["judge", "desk"]] as const);
  chief.write("seated", { person, roles: [...roles] });
}
/** The plan, as it stands on the chief's device. */
function pack(chief: RoomTablet, to: RoomTablet): void {
  to.hear(chief.lines.filter(isPlanning));
}
/** What the tablet holds, taken as the chief's device takes a file. */
function bring(
  { person, lines }: RoomTablet,
  chief: RoomTablet,
  passed: { codes: Map<EntryId, string>; over: PassedOver },
): void {
  const file = { grading: aGradingId, entries: lines };
  const sides = { refsOf: () => [], hasSide: () => true };
  const { taken, refused, passedOver } = mergeable(chief.book, file, person, sides);
  chief.hear(taken);
  passed.over = withPassedOver(passed.over, passedOver, taken);
  for (const { id } of taken) passed.codes.delete(id);
  for (const { index, code } of refused) {
    const line = lines[index] as AnyEntry;
    if (line.by === person) passed.codes.set(line.id, code);
  }
}
/** Which of the words on one child are others. */
function otherwise(hubs: string, chiefs: string): string[] {
  const [hub = {}, chief = {}] = [hubs, chiefs].map(
    (words) => JSON.parse(words) as Record<string, unknown>,
  );
  return Object.keys(hub)
    .filter((key) => JSON.stringify(hub[key]) !== JSON.stringify(chief[key]))
    .map((key) =>
      [
        `${hub.candidate}, ${key}: the hub says ${JSON.stringify(hub[key])}`,
        `the chief's device ${JSON.stringify(chief[key])}`,
      ].join(", "),
    );
}
async function intoHub(
  tablets: readonly RoomTablet[],
  passedOver: PassedOver,
  refused: Map<string, string>,
): Promise<Scorebook> {
  const store = openMemoryScorebook();
  const [chief] = tablets;
  const word = chief && chiefsWord({ person: chief.person, entries: chief.lines, passedOver });
  await takeTogether(tablets, word, async ({ person, lines, sides }, said) => {
    const read = readScorebookFile(scorebookFile(aGradingId, lines, sides, person));
    if (!read.ok) throw new Error(`${person}'s file cannot be read`);
    const file = { ...read.file, person };
    const took = await takePersonsFile(store, file, [], [], undefined, undefined, said);
    for (const { id, fault } of took?.refused ?? []) refused.set(id, fault.code);
    const own = took?.refused.filter(({ by }) => by === person) ?? [];
    return { added: took?.added.length ?? 0, waiting: own.length };
  });
  return fold((await store.read(aGradingId, 0)).map(({ entry }) => entry));
}

function atDesk({ desk, children }: RoomHall, dice: Dice): void {
  const candidate = dice.pick(children);
  const act = dice.pick(["checked-in", "checked-in", "expected", "absent", "withdrawn"] as const);
  if (act === "withdrawn") desk.write(act, { candidate, why: "own-wish" });
  else desk.write(act, { candidate });
}
