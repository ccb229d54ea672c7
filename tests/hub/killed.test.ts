import { afterEach, describe, expect, it } from "vitest";
import { AHub } from "../builders/a-hub.ts";
import { AHubProcess } from "../builders/a-hub-process.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";

let hub: AHub | undefined;
let child: AHubProcess | undefined;
afterEach(async () => {
  await child?.kill();
  await hub?.end();
});

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

    child = await AHubProcess.start(hub.folder, hub.port);
    const tablet = await hub.tablet("judge-1", ["judge"]);
    const marks = Array.from({ length: 300 }, () => aMark(judge.pen));
    for (const mark of marks) tablet.append(mark);
    await tablet.until(() => tablet.acknowledged.length > 20, "the first acknowledgements");
    void child.kill();
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
