import { chance } from "../../src/demo/chance.ts";
import { readChains } from "../../src/hub/storage/read-chains.ts";
import { storeFile } from "../../src/hub/storage/store-file.ts";
import { AHub } from "../builders/a-hub.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { ASender } from "./a-sender.ts";
import { storedMarks } from "./stored-marks.ts";

const JUDGES = 5;
/** A hub lives so long after everybody is back, in milliseconds. */
const LIFE = { least: 5, most: 250 };

/** What came of killing a hub again and again while tablets write. Counts of entries. */
export interface Killed {
  kills: number;
  written: number;
  /** Acknowledged to a tablet at any time. */
  acknowledged: number;
  stored: number;
  /** Acknowledged and not stored. */
  lost: number;
  /** Stored more than once. */
  doubled: number;
  /** Refused, which nothing here should be. */
  refused: number;
  /** Lines closed before a welcome. */
  hungUpOn: number;
  isChainSound: boolean;
}

/**
 * Kills a hub of SQLite with SIGKILL, so many times, each time under load; tablets come back with what was not acknowledged.
 * The moments come from `seed`; what the machine does between them does not.
 */
export async function killHubs(
  { kills, seed }: { kills: number; seed: number },
  say: (kill: number) => void = () => undefined,
): Promise<Killed> {
  const { share } = chance(seed);
  const hub = await AHub.start();
  let running: AHubProcess | undefined;
  try {
    const { plan, judges, candidates } = aTestDay({ judges: JUDGES, candidates: 12 });
    const chief = await hub.tablet("chief", ["chief"]);
    chief.append(...plan);
    await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
    const writers = [];
    for (const { person, pen } of judges) {
      pen.hear(plan.length);
      const sender = new ASender(hub.address, await hub.letsIn(person, ["judge"]));
      writers.push({ pen, sender });
    }
    await hub.stop();

    let written = 0;
    for (let kill = 1; kill <= kills; kill++) {
      running = await AHubProcess.start(hub.folder, hub.port);
      await Promise.all(writers.map(({ sender }) => sender.connect()));
      const end = performance.now() + LIFE.least + share() * (LIFE.most - LIFE.least);
      while (performance.now() < end) {
        for (const { pen, sender } of writers) {
          const candidate = candidates[written % candidates.length] ?? "";
          sender.write(aMark(pen, { candidate, level: 1 + (written % 4) }));
          written++;
        }
        await new Promise((done) => setTimeout(done, 1));
      }
      await running.kill();
      say(kill);
    }
    running = await AHubProcess.start(hub.folder, hub.port);
    await Promise.all(writers.map(({ sender }) => sender.connect()));
    // A hub that lost an entry refuses what came after it; the counts say so better than a fault here.
    await Promise.allSettled(writers.map(({ sender }) => sender.emptied(15_000)));
    await running.kill();

    const acknowledged = writers.flatMap(({ sender }) => [...sender.acknowledged]);
    const stored = await storedMarks(hub.folder);
    const once = new Set(stored);
    const [chain] = readChains(storeFile(hub.folder));
    return {
      kills,
      written,
      acknowledged: acknowledged.length,
      stored: once.size,
      lost: acknowledged.filter((id) => !once.has(id)).length,
      doubled: stored.length - once.size,
      refused: writers.reduce((sum, { sender }) => sum + sender.refused.length, 0),
      hungUpOn: writers.reduce((sum, { sender }) => sum + sender.hungUpOn, 0),
      isChainSound: chain?.broken === null,
    };
  } finally {
    await running?.kill();
    await hub.end();
  }
}
