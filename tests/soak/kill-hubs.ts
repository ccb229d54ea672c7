import { cpSync, rmSync } from "node:fs";
import { testSides } from "../../src/belt-test/scorebook/test-sides.ts";
import { chance } from "../../src/demo/chance.ts";
import { readChainsIn } from "../../src/hub/store/read-chains.ts";
import { storeFile } from "../../src/hub/store/store-file.ts";
import { AHub } from "../builders/a-hub.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { ASender } from "./a-sender.ts";
import { counted, type Killed } from "./killed.ts";
import { storedMarks } from "./stored-marks.ts";

const JUDGES = 5;
/** A hub lives so long after everybody is back, in milliseconds. */
const LIFE = { least: 5, most: 250 };

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
    // This process lets go of the file whenever its memory is swept, and writes the log back then, which no hub that was killed does.
    const folder = `${hub.folder}-killed`;
    cpSync(hub.folder, folder, { recursive: true });

    let written = 0;
    for (let kill = 1; kill <= kills; kill++) {
      running = await AHubProcess.start(folder, hub.port);
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
    running = await AHubProcess.start(folder, hub.port);
    await Promise.all(writers.map(({ sender }) => sender.connect()));
    // A hub that lost an entry refuses what came after it; the counts say so better than a fault here.
    await Promise.allSettled(writers.map(({ sender }) => sender.emptied(15_000)));
    await running.kill();

    const [chain] = await readChainsIn(storeFile(folder), testSides);
    return {
      kills,
      written,
      ...counted(
        writers.map(({ sender }) => sender),
        await storedMarks(folder),
      ),
      isChainSound: chain?.broken === null,
    };
  } finally {
    await running?.kill();
    rmSync(`${hub.folder}-killed`, { recursive: true, force: true });
    await hub.end();
  }
}
