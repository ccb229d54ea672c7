import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import pg from "pg";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { chance } from "../../src/demo/chance.ts";
import { type ChainRow, verifyChain } from "../../src/hub/store/verify-chain.ts";
import { AHub } from "../builders/a-hub.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { ASender } from "./a-sender.ts";
import { counted, type Killed } from "./killed.ts";

const JUDGES = 6;
/** Between two kills both hubs are at work so long, in milliseconds. */
const LIFE = { least: 20, most: 300 };

/**
 * Two hubs serve one test from one PostgreSQL; one or the other is killed with SIGKILL under load, so many times.
 * Its tablets go over to the neighbour with what was not acknowledged, and half of everybody comes back when it is up again.
 */
export async function killPostgresHubs(
  { store, kills, seed }: { store: string; kills: number; seed: number },
  say: (kill: number) => void = () => undefined,
): Promise<Killed> {
  const { share } = chance(seed);
  const door = await AHub.start({ store });
  const folder = mkdtempSync(join(tmpdir(), "evenhand-hubs-"));
  const ports = [door.port, await anotherPort(store)];
  const addresses = ports.map((port) => `http://127.0.0.1:${port}`);
  const running: (AHubProcess | undefined)[] = [];
  const start = async (index: number) => {
    const at = join(folder, `${index}`);
    running[index] = await AHubProcess.start(at, ports[index] ?? 0, store);
  };
  try {
    const { plan, judges, candidates } = aTestDay({ judges: JUDGES, candidates: 12 });
    const chief = await door.tablet("chief", ["chief"]);
    chief.append(...plan);
    await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
    const writers: { pen: Pen; sender: ASender; at: number }[] = [];
    for (const { person, pen } of judges) {
      pen.hear(plan.length);
      const sender = new ASender(door.address, await door.letsIn(person, ["judge"]));
      writers.push({ pen, sender, at: writers.length % 2 });
    }
    await door.stop();
    await Promise.all([start(0), start(1)]);
    await Promise.all(writers.map(({ sender, at }) => sender.connect(addresses[at])));

    let written = 0;
    const write = async (ms: number) => {
      for (const end = performance.now() + ms; performance.now() < end; ) {
        for (const { pen, sender } of writers) {
          const candidate = candidates[written % candidates.length] ?? "";
          sender.write(aMark(pen, { candidate, level: 1 + (written % 4) }));
          written++;
        }
        await new Promise((done) => setTimeout(done, 2));
      }
    };
    for (let kill = 1; kill <= kills; kill++) {
      await write(LIFE.least + share() * (LIFE.most - LIFE.least));
      const dies = kill % 2;
      await running[dies]?.kill();
      await write(5);
      for (const writer of writers) {
        if (writer.at !== dies) continue;
        writer.at = 1 - dies;
        await writer.sender.connect(addresses[writer.at]);
      }
      await write(30);
      await start(dies);
      // Half of everybody, whoever they are by now.
      for (const writer of writers.filter((_, index) => index % 2 === 0)) {
        writer.sender.drop();
        writer.at = dies;
        await writer.sender.connect(addresses[dies]);
      }
      say(kill);
    }
    await Promise.allSettled(writers.map(({ sender }) => sender.emptied(15_000)));
    const rows = await allRows(store);
    return {
      kills,
      written,
      ...counted(
        writers.map(({ sender }) => sender),
        rows.slice(plan.length).map(({ id }) => id),
      ),
      isChainSound: verifyChain(rows).broken === null,
    };
  } finally {
    await Promise.all(running.map((hub) => hub?.kill()));
    await door.end();
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A port that a hub could listen at a moment ago. */
async function anotherPort(store: string): Promise<number> {
  const hub = await AHub.start({ store });
  await hub.end();
  return hub.port;
}

async function allRows(store: string): Promise<ChainRow[]> {
  const client = new pg.Client({ connectionString: store });
  await client.connect();
  try {
    const { rows } = await client.query(
      "SELECT seq, id, device, n::float8 AS n, body, salt, digest, chain FROM entries ORDER BY seq",
    );
    return rows;
  } finally {
    await client.end();
  }
}
