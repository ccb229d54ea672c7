import { beforeAll, describe, expect, it } from "vitest";
import { playRoadDay, type RoadDay } from "./road-days.ts";

/** As many as fit into ten seconds of one core; more by hand: ROAD_DAYS=500 ROAD_SEED=1000 npx vitest run --project core tests/world/road-days.test.ts */
const { ROAD_DAYS, ROAD_SEED } = process.env;
const DAYS = Number(ROAD_DAYS ?? 40);
const FIRST = Number(ROAD_SEED ?? 1);
/** Days on which a fault that is mended was seen when it was put back, by what it did. */
const TELLING = {
  "the desk's word was refused that the chief's device had taken": [100, 151],
  "marks and locks by a rubric that the child has no more were refused": [5, 36, 54],
  "the desk's word was taken that the chief's device had refused": [64, 90],
  "a lock that the chief's device had refused was judged before others had come": [202],
  "a lock was refused as half blank by a rubric that its judge did not know": [233],
};

describe(`${DAYS} random days without a hub`, () => {
  const days = new Map<number, RoadDay>();
  beforeAll(
    async () => {
      for (let seed = FIRST; seed < FIRST + DAYS; seed++)
        days.set(seed, await playRoadDay(seed, { isUnquiet: seed % 2 === 0 }));
    },
    60_000 + DAYS * 2_000,
  );
  const all = <What>(of: (day: RoadDay) => readonly What[]) =>
    [...days].flatMap(([seed, day]) => of(day).map((what) => [seed, what]));

  it("[S298] say the same in a hub that takes all files, in whatever order", () => {
    expect(all(({ otherwise }) => otherwise)).toEqual([]);
  });
  it("[S298] come whole: nothing that the chief's device went by is lacking", () => {
    expect(all(({ lacking }) => lacking)).toEqual([]);
  });
  it("[S301] bring nothing into the hub that the chief's device passed over", () => {
    expect(all(({ beside }) => beside)).toEqual([]);
  });
  it.runIf(ROAD_DAYS === undefined)("have in them what happens on the road", () => {
    const kinds = all(({ written }) => written).map(
      ([, entry]) => (entry as { kind: string }).kind,
    );
    for (const kind of [
      ...["mark", "overall", "locked", "recused", "lanes-swapped", "checked-in", "absent"],
      ...["withdrawn", "entered", "assigned", "judge-replaced", "held-at-giving", "revealed"],
      ...["review-settled", "remark-asked", "verdict", "sheet-released", "closed"],
    ])
      expect([kind, kinds.filter((one) => one === kind).length > DAYS / 6]).toEqual([kind, true]);
  });
  it.each(Object.entries(TELLING))("say the same also where once %s", async (_, seeds) => {
    for (const seed of seeds) {
      const { otherwise, lacking, beside } = await playRoadDay(seed);
      expect([otherwise, lacking, beside]).toEqual([[], [], []]);
    }
  });
});
