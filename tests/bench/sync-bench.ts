import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import type { Mark } from "../../src/belt-test/scorebook/cell.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId } from "../../src/book/identity.ts";
import { AHub } from "../builders/a-hub.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { allMarks } from "../builders/all-marks.ts";
import { shippedRubrics } from "../builders/shipped-rubrics.ts";
import { ASender } from "../soak/a-sender.ts";
import { type Measured, median } from "./measure.ts";

const TABLETS = 20;
const MARKS = 2000;
const BATCH = 100;
const ROUNDS = 3;
const rubric = Rubric.parse(
  shippedRubrics.find(({ file }) => file.startsWith("orange-to-green-adult"))?.json,
);
/** Cells that are marked by level. */
const places = allMarks(
  { ...rubric, sections: rubric.sections.filter(({ marking }) => marking !== "checklist") },
  () => 3,
  { judges: 1 },
).filter(({ item }) => item !== null);
const callOf = ({ section, item, side }: Mark) => `${section} ${item} ${side}`;
const calls = [...new Set(places.map(callOf))].map((call) =>
  places.filter((place) => callOf(place) === call),
);
type Who = ConstructorParameters<typeof ASender>[1];
const bareHub = fileURLToPath(new URL("bare-hub.mjs", import.meta.url));

/** How many checked, authorised, chained and durable entries a second, beside a bare hub that only commits and acknowledges; and what a mark costs on the wire. */
export async function benchSync(): Promise<Measured[]> {
  const bare: Passed[] = [];
  const own: Passed[] = [];
  const lines: Passed[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    bare.push(await throughTheBareHub());
    own.push(await throughTheHub(taps));
    lines.push(await throughTheHub(wholeLines));
  }
  const how = `${TABLETS} tablets × ${MARKS} entries of one mark, each hub in its own process, median of ${ROUNDS}`;
  const speed = (all: Passed[]) => median(all.map(({ entriesASecond }) => entriesASecond));
  const processor = (all: Passed[]) => median(all.map(({ processorUsAMark }) => processorUsAMark));
  const [{ rowBytes }] = own as [Passed];
  const [{ bytesAMark }] = lines as [Passed];
  return [
    {
      what: "bare entries a second ÷ ours, checked and chained",
      value: median(
        own.map((one, round) => (bare[round]?.entriesASecond ?? 0) / one.entriesASecond),
      ),
      unit: "×",
      goal: 2,
      how,
    },
    { what: "entries a second, bare hub", value: speed(bare), unit: "/s", how },
    { what: "entries a second, our hub", value: speed(own), unit: "/s", how },
    { what: "processor a mark, bare hub", value: processor(bare), unit: "µs", how },
    { what: "processor a mark, our hub", value: processor(own), unit: "µs", how },
    {
      what: "bare marks a second ÷ ours, lines of three, by exception",
      value: median(lines.map((one, round) => (bare[round]?.marksASecond ?? 0) / one.marksASecond)),
      unit: "×",
      goal: 0.5,
      how: "one criterion of each tapped, the rest in one entry",
    },
    {
      what: "bytes on the wire a mark ÷ its bare JSON row",
      value: bytesAMark / rowBytes,
      unit: "×",
      goal: 0.7,
      how: `${bytesAMark.toFixed(0)} and ${rowBytes.toFixed(0)} bytes, both ways, the same lines`,
    },
  ];
}

interface Passed {
  entriesASecond: number;
  marksASecond: number;
  processorUsAMark: number;
  bytesAMark: number;
  rowBytes: number;
}

async function throughTheBareHub(): Promise<Passed> {
  const folder = mkdtempSync(join(tmpdir(), "evenhand-bare-"));
  const running = await AHubProcess.run([bareHub, folder, "0"]);
  try {
    const day = aTestDay({ judges: TABLETS, candidates: 60, rubric });
    const senders = await Promise.all(
      day.judges.map(({ person, pen }) =>
        holding(`http://127.0.0.1:${running.said}`, taps(pen, day), {
          token: person,
          grading: aGradingId,
          device: `${person}-tablet` as DeviceId,
        }),
      ),
    );
    return await passed(senders, running);
  } finally {
    await running.kill();
    rmSync(folder, { recursive: true, force: true });
  }
}

async function throughTheHub(marked: Marked): Promise<Passed> {
  const hub = await AHub.start();
  let running: AHubProcess | undefined;
  try {
    const day = aTestDay({ judges: TABLETS, candidates: 60, rubric });
    const { plan, judges } = day;
    const chief = await hub.tablet("chief", ["chief"]);
    for (let start = 0; start < plan.length; start += BATCH)
      chief.append(...plan.slice(start, start + BATCH));
    await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
    for (const { person, pen } of judges) {
      await hub.letsIn(person, ["judge"]);
      pen.hear(plan.length);
    }
    await hub.stop();
    running = await AHubProcess.start(hub.folder, hub.port);
    const senders = await Promise.all(
      judges.map(async ({ person, pen }) =>
        holding(hub.address, marked(pen, day), await hub.letsIn(person, ["judge"])),
      ),
    );
    return await passed(senders, running);
  } finally {
    await running?.kill();
    await hub.end();
  }
}

type Marked = (pen: Pen, day: TestDay) => AnyEntry[];

/** A mark of every cell, one after another, each an entry of its own, until there are so many. */
function taps(pen: Pen, { candidates }: TestDay): AnyEntry[] {
  return Array.from({ length: MARKS }, (_, n) => {
    const candidate = candidates[Math.floor(n / places.length)] ?? "";
    return aMark(pen, { ...(places[n % places.length] as Mark), candidate, level: 1 + (n % 4) });
  });
}

/** The same number of marks as judges make them by exception: a line of three, one criterion of each tapped, and the rest meets in one entry. */
function wholeLines(pen: Pen, { candidates }: TestDay): AnyEntry[] {
  const written: AnyEntry[] = [];
  for (let n = 0, marks = 0; marks < MARKS; n++) {
    const cells = calls[n % calls.length] ?? [];
    const [tapped, ...others] = cells as [Mark, ...Mark[]];
    const { section, item, side } = tapped;
    const line = [0, 1, 2].map((at) => candidates[(3 * n + at) % candidates.length] as CandidateId);
    written.push(...line.map((candidate) => aMark(pen, { ...tapped, candidate, level: 2 })));
    const rest = line.flatMap((candidate) =>
      others.map(({ criterion }) => ({ candidate, criterion, level: 3, how: "rest" as const })),
    );
    if (rest.length > 0) written.push(pen.write("mark", { section, item, side, cells: rest }));
    marks += 3 * cells.length;
  }
  return written;
}

/** Somebody who was away all day and holds what was marked. */
async function holding(address: string, marked: readonly AnyEntry[], who: Who): Promise<ASender> {
  const sender = new ASender(address, who);
  await sender.connect();
  sender.hold(marked);
  return sender;
}

/** Everybody has the plan, and hands in at once what was marked. */
async function passed(senders: readonly ASender[], hub: AHubProcess): Promise<Passed> {
  const held = senders.flatMap((sender) => sender.held);
  const marks = held.reduce(
    (sum, { body }) => sum + (Array.isArray(body.cells) ? body.cells.length : 0),
    0,
  );
  const rowBytes = held.reduce((sum, entry) => sum + JSON.stringify(entry).length, 0) / held.length;
  // The plan itself is sent once a day, and is not what is weighed.
  await new Promise((done) => setTimeout(done, 500));
  const before = hub.processorMs ?? Number.NaN;
  const wireBefore = wireOf(senders);
  const begun = performance.now();
  for (const sender of senders) sender.sendAgain();
  await Promise.all(senders.map((sender) => sender.emptied(120_000)));
  const seconds = (performance.now() - begun) / 1000;
  const [refused] = senders.flatMap((sender) => sender.refused);
  if (refused) throw new Error(`sync bench: refused ${refused}`);
  const wire = wireOf(senders) - wireBefore;
  return {
    entriesASecond: held.length / seconds,
    marksASecond: marks / seconds,
    processorUsAMark: (((hub.processorMs ?? Number.NaN) - before) * 1000) / marks,
    bytesAMark: wire / marks,
    rowBytes,
  };
}

const wireOf = (senders: readonly ASender[]): number =>
  senders.reduce((sum, { wireBytes }) => sum + wireBytes, 0);
