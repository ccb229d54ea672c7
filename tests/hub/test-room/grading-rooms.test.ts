import { describe, expect, it } from "vitest";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { type GradingRooms, gradingRooms } from "../../../src/hub/test-room/grading-rooms.ts";
import type { News } from "../../../src/line/hub-news.ts";
import { nobodyElse, type StoreNews } from "../../../src/ports/store-news.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";
import { Life, Timeline } from "../../world/timeline.ts";

const chief = {
  person: "chief" as PersonId,
  roles: ["chief"] as const,
  device: "chief-tablet" as DeviceId,
};

/** What two hubs tell each other, if anything of it arrives. */
function aWire(arrives: boolean): StoreNews[] {
  const listeners: ((news: News) => void)[][] = [[], []];
  return listeners.map((mine, at) => ({
    ...nobodyElse,
    tell: (news) => {
      if (arrives) for (const listener of listeners[1 - at] ?? []) listener(news);
    },
    onNews: (listener) => {
      mine.push(listener);
      return () => undefined;
    },
  }));
}
async function twoHubs(arrives: boolean) {
  const time = new Timeline();
  const store = openMemoryScorebook();
  const [here, there] = aWire(arrives).map((news) =>
    gradingRooms(store, "hub", { news, clock: new Life(time, { skewMs: 0 }) }),
  ) as [GradingRooms, GradingRooms];
  const [one, other] = await Promise.all([here.room(aGradingId), there.room(aGradingId)]);
  const { plan } = aTestDay();
  const handing = one.handIn(chief, plan);
  await time.runUntil(100);
  expect((await handing).kept.length).toBe(plan.length);
  return { time, other, there, length: plan.length };
}

describe("the books of two hubs on one store", () => {
  it("[H24] are read on when one tells the other", async () => {
    const { other, length } = await twoHubs(true);
    expect(other.feed(chief).length).toBe(length);
  });

  it("[H26] are read on within two seconds when nothing that was told arrived", async () => {
    const { time, other, length } = await twoHubs(false);
    expect(other.feed(chief).length).toBe(0);
    await time.runUntil(2200);
    expect(other.feed(chief).length).toBe(length);
  });

  it("[H26] are not looked at any more after the hub is closed", async () => {
    const { time, other, there } = await twoHubs(false);
    there.close();
    await time.runUntil(5000);
    expect(other.feed(chief).length).toBe(0);
  });
});
