import { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import type { Mark } from "../../src/belt-test/scorebook/cell.ts";
import { percentile } from "../bench/measure.ts";
import { AHub } from "../builders/a-hub.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { allMarks } from "../builders/all-marks.ts";
import { shippedRubrics } from "../builders/shipped-rubrics.ts";
import { ASender } from "./a-sender.ts";
import { storedMarks } from "./stored-marks.ts";

const TABLETS = 100;
/** A judge in a hall writes an entry every two seconds. */
const HALL = { entriesASecond: 0.5 };

export interface Carried {
  tablets: number;
  seconds: number;
  written: number;
  acknowledged: number;
  stored: number;
  lost: number;
  doubled: number;
  /** From writing to the acknowledgement, milliseconds: over the first and the last quarter of the time. */
  p50: [number, number];
  p99: [number, number];
  /** Of the hub, megabytes: with everybody on the line and nothing written, in the middle, in the end. */
  megabytes: [number, number, number];
  /** What each stored entry added to it, bytes; first and second half of the time. */
  bytesAnEntry: [number, number];
  /** Processor time of the hub, as a share of one processor. */
  processorShare: number;
}

/**
 * A hundred tablets on one hub at so many times a hall's pace; one of them reads nothing after the first seconds, one is dead.
 * @param times  1 is a hall, 10 is ten halls' worth of entries
 */
export async function carry(
  { seconds, times }: { seconds: number; times: number },
  say: (seconds: number) => void = () => undefined,
): Promise<Carried> {
  const hub = await AHub.start();
  let running: AHubProcess | undefined;
  try {
    const day = aTestDay({ judges: TABLETS, candidates: 60, rubric });
    const chief = await hub.tablet("chief", ["chief"]);
    for (let start = 0; start < day.plan.length; start += 50)
      chief.append(...day.plan.slice(start, start + 50));
    await chief.until(() => chief.acknowledged.length === day.plan.length, "the plan", 20_000);
    const writers = [];
    for (const { person, pen } of day.judges) {
      pen.hear(day.plan.length);
      const sender = new ASender(hub.address, await hub.letsIn(person, ["judge"]));
      writers.push({ pen, sender });
    }
    await hub.stop();
    const process = await AHubProcess.start(hub.folder, hub.port);
    running = process;
    await Promise.all(writers.map(({ sender }) => sender.connect()));
    const megabytes = () => (process.residentBytes ?? Number.NaN) / 1e6;
    await rest(2000);
    const atFirst = megabytes();
    const processorBefore = process.processorMs ?? Number.NaN;
    const [slow, dead] = writers;
    slow?.sender.sleep();
    dead?.sender.drop();

    const everyMs = 1000 / (HALL.entriesASecond * times) / TABLETS;
    const begun = performance.now();
    let written = 0;
    let inTheMiddle = { megabytes: Number.NaN, written: 0 };
    const alive = writers.slice(2);
    while (performance.now() - begun < seconds * 1000) {
      // As many as are due by now: a timer that comes late is made up for.
      for (const due = (performance.now() - begun) / everyMs; written < due; written++) {
        const { pen, sender } = alive[written % alive.length] as (typeof writers)[number];
        const turn = Math.floor(written / alive.length);
        const candidate = day.candidates[Math.floor(turn / places.length) % 60] ?? "";
        const place = places[turn % places.length] as Mark;
        sender.write(aMark(pen, { ...place, candidate, level: 1 + (turn % 4) }));
      }
      if (!inTheMiddle.written && performance.now() - begun > seconds * 500)
        inTheMiddle = { megabytes: megabytes(), written };
      say((performance.now() - begun) / 1000);
      await rest(5);
    }
    await Promise.all(alive.map(({ sender }) => sender.emptied(30_000)));
    const atLast = megabytes();
    const processorMs = (process.processorMs ?? Number.NaN) - processorBefore;
    await process.kill();

    const stored = await storedMarks(hub.folder);
    const once = new Set(stored);
    const acknowledged = alive.flatMap(({ sender }) => [...sender.acknowledged]);
    const quarters = [0, 3].map((quarter) =>
      alive.flatMap(({ sender: { latenciesMs: all } }) =>
        all.slice((all.length * quarter) / 4, (all.length * (quarter + 1)) / 4),
      ),
    ) as [number[], number[]];
    const at = (share: number) => quarters.map((all) => percentile(all, share)) as [number, number];
    return {
      tablets: TABLETS,
      seconds,
      written,
      acknowledged: acknowledged.length,
      stored: once.size,
      lost: acknowledged.filter((id) => !once.has(id)).length,
      doubled: stored.length - once.size,
      p50: at(0.5),
      p99: at(0.99),
      megabytes: [atFirst, inTheMiddle.megabytes, atLast],
      bytesAnEntry: [
        ((inTheMiddle.megabytes - atFirst) * 1e6) / inTheMiddle.written,
        ((atLast - inTheMiddle.megabytes) * 1e6) / (written - inTheMiddle.written),
      ],
      processorShare: processorMs / (seconds * 1000),
    };
  } finally {
    await running?.kill();
    await hub.end();
  }
}

const rubric = Rubric.parse(
  shippedRubrics.find(({ file }) => file.startsWith("orange-to-green-adult"))?.json,
);
/** Cells that are marked by level. */
const places = allMarks(
  { ...rubric, sections: rubric.sections.filter(({ marking }) => marking !== "checklist") },
  () => 3,
  { judges: 1 },
);
const rest = (ms: number) => new Promise((done) => setTimeout(done, ms));
