import type { EntryId } from "../../src/book/identity.ts";
import { Troubles } from "./troubles.ts";
import { judgeTheDay } from "./verdict-on-the-day.ts";
import { type Plant, World } from "./world.ts";

/** A day is played fast: people act about once a second, so that two minutes hold a whole belt test. Milliseconds. */
const DAY = 110_000;
const ACTS_EVERY = { least: 300, most: 1500 };
/** A quick hand taps again before the disk has answered. */
const QUICK = { share: 0.25, least: 5, most: 60 };
/** So long everybody may take to be of one mind when nothing is wrong any more. */
const QUIET_WITHIN = 150_000;
const NOTICED_WITHIN = 20_000;

export interface DayReport {
  seed: number;
  /** What was promised and not kept; none on a good day. */
  broken: string[];
  /** The same for the same seed. */
  trace: string;
  entries: number;
  frames: number;
  steps: number;
  isClosed: boolean;
  isAllOpen: boolean;
  refused: number;
  troubles: ReadonlyMap<string, number>;
}

interface DaySettings {
  plant?: Plant;
  /** Nothing goes wrong. */
  isCalm?: boolean;
  /** Told when the day is judged. */
  look?: (world: World) => void;
}

/** Plays one whole test day out of a seed, then clears the air and compares what everybody holds. */
export async function playDay(seed: number, more: DaySettings = {}): Promise<DayReport> {
  const world = new World(seed, more.plant);
  const nobodyCaught = (error: unknown) =>
    world.witness.breaks(`nobody caught ${error instanceof Error ? error.stack : error}`);
  process.on("unhandledRejection", nobodyCaught);
  try {
    return await play(world, more);
  } finally {
    process.off("unhandledRejection", nobodyCaught);
  }
}

async function play(
  world: World,
  { isCalm = false, look = () => undefined }: DaySettings,
): Promise<DayReport> {
  const { seed } = world;
  const { time, hubs, disk, witness, people, tablets, lost } = world;
  for (const hub of hubs) hub.start();
  for (const tablet of tablets) {
    await world.letIn(tablet);
    void tablet.openTab();
  }
  await time.runUntil(500);
  const [first] = world.chief.tablets[0]?.tabs ?? [];
  if (first) world.chief.plan(first.notebook);

  const troubles = new Troubles(world);
  if (!isCalm) troubles.begin();
  let isOver = false;
  for (const person of people) {
    const next = () => {
      if (isOver) return;
      person.act();
      const { least, most } = person.dice.falls(QUICK.share) ? QUICK : ACTS_EVERY;
      time.at(time.nowMs + person.dice.between(least, most), next);
    };
    time.at(time.nowMs + person.dice.between(500, 2500), next);
  }
  // Whoever the hub does not know any more comes to the chief and is let in again.
  const askAgain = () => {
    for (const tablet of tablets) {
      if (lost.has(tablet) || !world.hub) continue;
      const isSentAway = [...tablet.tabs].some(({ notebook }) => notebook.farewell);
      if (!isSentAway && tablet.disk.passes.size > 0) continue;
      tablet.crashAll();
      void world.letIn(tablet).then((isIn) => {
        if (isIn) void tablet.openTab();
      });
    }
    time.at(time.nowMs + 2000, askAgain);
  };
  askAgain();
  await time.runUntil(DAY);

  isOver = true;
  troubles.mendAll();
  for (const tablet of tablets)
    if (!lost.has(tablet) && tablet.tabs.size === 0) void tablet.openTab();
  const end = time.nowMs + QUIET_WITHIN;
  // A line that died without a word still looks open; its tablet needs so long to notice.
  await time.runUntil(time.nowMs + NOTICED_WITHIN);
  // Until nothing is on its way any more: twice, since the last word may set off another.
  let quiet = 0;
  while (quiet < 2 && time.nowMs < end) {
    await time.runUntil(time.nowMs + 2000);
    quiet = isQuiet(world) ? quiet + 1 : 0;
  }
  if (quiet < 2)
    witness.breaks(`not of one mind after ${QUIET_WITHIN / 1000} seconds: ${restless(world)}`);
  await judgeTheDay(world);
  look(world);
  const lines = await disk.lines();
  return {
    seed,
    broken: witness.broken,
    trace: world.traceHash(),
    entries: lines.length,
    frames: witness.frames,
    steps: time.done,
    isClosed: lines.some(({ entry }) => entry.kind === "closed"),
    isAllOpen: world.hall.candidates.every((one) =>
      ["blocks", "etiquette"].every((section) => witness.oracle.isRevealed(`${one}/${section}`)),
    ),
    refused: tablets.reduce((sum, { disk }) => sum + disk.outbox.size, 0),
    troubles: troubles.came,
  };
}

const isQuiet = (world: World): boolean => restless(world) === "";

/** Who is not done yet, and with what; empty when everybody is. */
function restless({ tablets, lost }: World): string {
  const found: string[] = [];
  for (const tablet of tablets) {
    if (lost.has(tablet)) continue;
    if (tablet.tabs.size === 0) found.push(`${tablet.device} is not open`);
    for (const { notebook } of tablet.tabs) {
      if (notebook.link !== "live") found.push(`${tablet.device} is ${notebook.link}`);
      if (notebook.unkept > 0) found.push(`${tablet.device} keeps ${notebook.unkept} in memory`);
      if (notebook.catchingUp) found.push(`${tablet.device} is catching up`);
    }
    const refused = new Set(
      [...tablet.tabs].flatMap(({ notebook }) => [...notebook.outbox.refused.keys()]),
    );
    const isOvertaken = (id: EntryId) =>
      [...tablet.tabs].some(({ notebook }) => notebook.outbox.isOvertaken(id));
    const waiting = [...tablet.disk.outbox.keys()].filter(
      (id) => !refused.has(id) && !isOvertaken(id),
    );
    if (waiting.length > 0) found.push(`${tablet.device} has ${waiting.length} unsent`);
  }
  return found.join("; ");
}
