import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";
import type { DeviceId } from "../../src/book/identity.ts";
import { AHub } from "../builders/a-hub.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { ASender } from "../soak/a-sender.ts";
import { type Measured, median, percentile } from "./measure.ts";

const TABLETS = 20;
/** Marks a tablet, a second. */
const PACE = 5;
const SECONDS = 8;
/** What a tablet holds that was away, how often one comes back, and how long the others are watched then. */
const AWAY = { marks: 2000, times: 5, watchedMs: 1000 };
const bareHub = fileURLToPath(new URL("bare-hub.mjs", import.meta.url));

/** What a hall waits for: the hub's word that a mark is kept, the chief's sight of it, and both while a tablet comes back that was away all day. */
export async function benchHub(): Promise<Measured[]> {
  const bare = await atTheBareHub();
  const { acknowledged, seen, back } = await atTheHub();
  const how = `${TABLETS} tablets × ${PACE} a second, ${SECONDS} s, each hub in its own process`;
  const ms = (what: string, value: number, goal?: number): Measured => ({
    what,
    value,
    unit: "ms",
    ...(goal === undefined ? {} : { goal }),
    how,
  });
  const returns = `${AWAY.times} returns of a tablet with ${AWAY.marks} marks, the others at their pace, medians`;
  return [
    ms("mark → kept and acknowledged, bare hub (median)", percentile(bare, 0.5)),
    ms("mark → kept and acknowledged, bare hub (p99)", percentile(bare, 0.99)),
    ms("mark → kept and acknowledged (median)", percentile(acknowledged, 0.5)),
    ms("mark → kept and acknowledged (p99)", percentile(acknowledged, 0.99), 100),
    ms("mark → the chief's screen is told (p99)", percentile(seen, 0.99), 100),
    {
      what: "mark → the chief is told ÷ bare acknowledgement (median)",
      value: percentile(seen, 0.5) / percentile(bare, 0.5),
      unit: "×",
      goal: 2,
      how,
    },
    {
      what: "mark → the chief is told ÷ bare acknowledgement (p99)",
      value: percentile(seen, 0.99) / percentile(bare, 0.99),
      unit: "×",
      goal: 3,
      how,
    },
    {
      what: "back after a day away → everything acknowledged",
      value: median(back.tookMs) / 1000,
      unit: "s",
      goal: 1,
      how: returns,
    },
    {
      what: "the others' wait (p99) meanwhile ÷ at their pace",
      value: percentile(back.othersMs, 0.99) / percentile(acknowledged, 0.99),
      unit: "×",
      goal: 2,
      how: `within ${AWAY.watchedMs / 1000} s of ${returns}`,
    },
  ];
}

/** @returns how long each mark waited for its acknowledgement, in milliseconds. */
async function atTheBareHub(): Promise<number[]> {
  const folder = mkdtempSync(join(tmpdir(), "evenhand-bare-"));
  const running = await AHubProcess.run([bareHub, folder, "0"]);
  try {
    const day = aTestDay({ judges: TABLETS, candidates: 60 });
    const senders = await Promise.all(
      day.judges.map(async ({ person }) => {
        const device = `${person}-tablet` as DeviceId;
        const who = { token: person, grading: aGradingId, device };
        const sender = new ASender(`http://127.0.0.1:${running.said}`, who);
        await sender.connect();
        return sender;
      }),
    );
    await markAtPace(senders, day, SECONDS * 1000);
    return senders.flatMap(({ latenciesMs }) => latenciesMs);
  } finally {
    await running.kill();
    rmSync(folder, { recursive: true, force: true });
  }
}

interface AtTheHub {
  acknowledged: number[];
  seen: number[];
  back: { tookMs: number[]; othersMs: number[] };
}
async function atTheHub(): Promise<AtTheHub> {
  const hub = await AHub.start();
  let running: AHubProcess | undefined;
  try {
    const day = aTestDay({ judges: TABLETS + 1, candidates: 60 });
    const planner = await hub.tablet("chief", ["chief"]);
    for (let start = 0; start < day.plan.length; start += 100)
      planner.append(...day.plan.slice(start, start + 100));
    await planner.until(() => planner.acknowledged.length === day.plan.length, "the plan");
    const passes = await Promise.all(day.judges.map(({ person }) => hub.letsIn(person, ["judge"])));
    for (const { pen } of day.judges) pen.hear(day.plan.length);
    await hub.stop();
    running = await AHubProcess.start(hub.folder, hub.port);
    const chief = await hub.tablet("chief", ["chief"]);
    const senders = await Promise.all(
      passes.map(async (pass) => {
        const sender = new ASender(hub.address, pass);
        await sender.connect();
        return sender;
      }),
    );
    const present = senders.slice(0, TABLETS);

    const seen: number[] = [];
    const sentAtMs = new Map<string, number>();
    // What the chief is told of a closed mark is its coverage: judge, candidate, place.
    const stop = chief.onFrame((frame) => {
      if (frame.frame !== "coverage") return;
      for (const { judge, candidate } of frame.work) {
        const at = sentAtMs.get(`${judge} ${candidate}`);
        if (at !== undefined) seen.push(performance.now() - at);
        sentAtMs.delete(`${judge} ${candidate}`);
      }
    });
    await markAtPace(present, day, SECONDS * 1000, (judge, candidate) =>
      sentAtMs.set(`${judge} ${candidate}`, performance.now()),
    );
    stop();
    const expected = present.flatMap(({ latenciesMs }) => latenciesMs).length;
    if (seen.length < expected)
      throw new Error(`hub bench: the chief saw ${seen.length} of ${expected} marks`);
    const acknowledged = present.flatMap(({ latenciesMs }) => latenciesMs.splice(0));
    return { acknowledged, seen, back: await comingBack(present, senders.at(-1), day) };
  } finally {
    await running?.kill();
    await hub.end();
  }
}

/** One tablet goes, marks alone, and comes back, while the others go on. */
async function comingBack(
  present: readonly ASender[],
  away: ASender | undefined,
  day: TestDay,
): Promise<AtTheHub["back"]> {
  const pen = day.judges.at(-1)?.pen;
  if (!away || !pen) throw new Error("hub bench: nobody was away");
  const tookMs: number[] = [];
  for (let time = 0; time < AWAY.times; time++) {
    away.drop();
    away.hold(
      Array.from({ length: AWAY.marks }, (_, n) =>
        aMark(pen, { candidate: day.candidates[n % 60] ?? "", level: 1 + ((n + time) % 4) }),
      ),
    );
    const begun = performance.now();
    const isBack = away.connect().then(() => away.emptied(30_000));
    const others = markAtPace(present, day, AWAY.watchedMs);
    await isBack;
    tookMs.push(performance.now() - begun);
    await others;
  }
  return { tookMs, othersMs: present.flatMap(({ latenciesMs }) => latenciesMs.splice(0)) };
}

/** So many people tap, each a candidate after another, and none in the same moment. Resolves when everything is acknowledged. */
async function markAtPace(
  senders: readonly ASender[],
  { judges, candidates }: TestDay,
  ms: number,
  wrote: (judge: string, candidate: string) => void = () => undefined,
): Promise<void> {
  const begun = performance.now();
  const between = 1000 / PACE / senders.length;
  for (let tap = 0; tap * between < ms; tap++) {
    const judge = judges[tap % senders.length];
    const candidate = candidates[Math.floor(tap / senders.length) % candidates.length];
    if (!judge || !candidate) throw new Error("hub bench: nobody to mark");
    const early = begun + tap * between - performance.now();
    if (early > 0) await new Promise((done) => setTimeout(done, early));
    const mark = aMark(judge.pen, { candidate, level: 1 + (tap % 4) });
    wrote(judge.person, candidate);
    senders[tap % senders.length]?.write(mark);
  }
  await Promise.all(senders.map((sender) => sender.emptied(10_000)));
  // What the last acknowledgement tells the tablet, the chief is told in the same moment.
  await new Promise((done) => setTimeout(done, 200));
}
