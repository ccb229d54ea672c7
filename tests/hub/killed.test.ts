import { type ChildProcess, spawn } from "node:child_process";
import { fileURLToPath } from "node:url";
import { afterEach, describe, expect, it } from "vitest";
import { AHub } from "../builders/a-hub.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";

const main = new URL("../../src/hub/main.ts", import.meta.url).href;
const root = fileURLToPath(new URL("../..", import.meta.url));
let hub: AHub | undefined;
let child: ChildProcess | undefined;
afterEach(async () => {
  child?.kill("SIGKILL");
  await hub?.end();
});

/** The hub in a process of its own, so that it can be killed like one. */
async function inItsOwnProcess(folder: string, port: number): Promise<ChildProcess> {
  const start = `const { startHub } = await import(${JSON.stringify(main)});
    await startHub({ port: ${port}, host: "127.0.0.1", dataFolder: ${JSON.stringify(folder)} });
    console.log("listening");`;
  const running = spawn(process.execPath, ["--import", "tsx", "--input-type=module", "-e", start], {
    cwd: root,
    stdio: ["ignore", "pipe", "inherit"],
  });
  await new Promise<void>((resolve, reject) => {
    running.stdout?.once("data", () => resolve());
    running.once("exit", (code) => reject(new Error(`the hub ended with ${code}`)));
  });
  return running;
}

describe("a hub that is killed", () => {
  it("[Y9] has lost no acknowledged mark, and goes on where each tablet was", async () => {
    hub = await AHub.start();
    const day = aTestDay({ judges: 1 });
    const judge = day.judges[0];
    if (!judge) throw new Error("a judge");
    const chief = await hub.tablet("chief", ["chief"]);
    chief.append(...day.plan);
    await chief.until(() => chief.acknowledged.length === day.plan.length);
    await hub.tablet("judge-1", ["judge"]);
    await hub.stop();

    child = await inItsOwnProcess(hub.folder, hub.port);
    const tablet = await hub.tablet("judge-1", ["judge"]);
    const marks = Array.from({ length: 300 }, () => aMark(judge.pen));
    for (const mark of marks) tablet.append(mark);
    await tablet.until(() => tablet.acknowledged.length > 20, "the first acknowledgements");
    child.kill("SIGKILL");
    await tablet.until(() => tablet.isClosed);
    const { acknowledged } = tablet;

    await hub.startAgain();
    const back = await hub.tablet("judge-1", ["judge"]);
    await back.until(() => acknowledged.every((id) => back.ids.includes(id)), "all acknowledged");
    // The outbox is sent again whole, as a tablet does.
    for (let start = 0; start < marks.length; start += 100)
      back.append(...marks.slice(start, start + 100));
    await back.until(() => new Set(back.acknowledged).size === marks.length, "the rest");
    expect(back.refused).toEqual([]);
    const again = await hub.tablet("judge-1", ["judge"], { device: "judge-1-spare" });
    await again.until(() => again.entries.length >= day.plan.length + marks.length);
    expect(again.ids.slice(day.plan.length)).toEqual(marks.map(({ id }) => id));
  }, 30_000);
});
