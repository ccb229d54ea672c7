import { beforeAll, describe, expect, it } from "vitest";
import { playRoomDay, type RoomDay } from "./room-days.ts";

/** As many as fit into fifteen seconds of one core; more by hand: ROOM_DAYS=500 ROOM_SEED=1000 npx vitest run --project core tests/world/room-days.test.ts */
const { ROOM_DAYS, ROOM_SEED } = process.env;
const DAYS = Number(ROOM_DAYS ?? 36);
const FIRST = Number(ROOM_SEED ?? 1);
/** Days on which a fault that is mended was seen when it was put back, by what it did. */
const TELLING = {
  "late marks that the chief had let count counted no more when the place was given away": [
    52, 104,
  ],
  "a closing that came late took a lock that had counted": [20],
  "a place that went back was opened without its judge": [3, 1101, 2247],
  "an opening that came late took the lock of whoever had a place again": [1056],
  "a place that was given away late told of marks that nobody asks for any more": [1252, 2233],
};
const PATIENCE_MS = 60_000 + DAYS * 3_000;

describe(`${DAYS} random days in the room of one test`, () => {
  const days: RoomDay[] = [];
  beforeAll(async () => {
    for (let seed = FIRST; seed < FIRST + DAYS; seed++) days.push(await playRoomDay(seed));
  }, PATIENCE_MS);

  // Each names its seed, and all that was handed in until then.
  it("[S264] keep open what is open, and what counted at the opening, after every line; at the end whoever reads them says the same", () => {
    expect(days.flatMap(({ broken }) => broken)).toEqual([]);
  });

  it.runIf(ROOM_DAYS === undefined)("have in them what happens in a hall", () => {
    const sums = { taken: new Map<string, number>(), refused: new Map<string, number>() };
    for (const day of days)
      for (const sum of ["taken", "refused"] as const)
        for (const [what, times] of day[sum])
          sums[sum].set(what, (sums[sum].get(what) ?? 0) + times);
    for (const kind of [
      ...["mark", "overall", "locked", "recused", "lanes-swapped", "checked-in", "absent"],
      ...["withdrawn", "excused", "entered", "assigned", "judge-replaced", "revealed"],
      ...["review-settled late-counts", "review-settled late-refused", "remark-asked", "answered"],
      ...["verdict", "sheet-released", "closed"],
    ])
      expect([kind, (sums.taken.get(kind) ?? 0) >= DAYS / 6]).toEqual([kind, true]);
    for (const code of ["SECTION_OPEN", "ALREADY_LOCKED", "NOT_ASSIGNED", "GRADING_CLOSED"])
      expect([code, (sums.refused.get(code) ?? 0) > DAYS / 6]).toEqual([code, true]);
    const closedEarly = days.filter(({ isClosedEarly }) => isClosedEarly).length;
    expect(closedEarly).toBeGreaterThan(DAYS / 5);
    expect(closedEarly).toBeLessThan(DAYS * 0.8);
  });

  it.each(Object.entries(TELLING))("keep every promise also where once %s", async (_, seeds) => {
    for (const seed of seeds) expect((await playRoomDay(seed)).broken).toEqual([]);
  });
});

describe("a random day in a room", () => {
  it("is the same day for the same seed", async () => {
    const [first, again] = [await playRoomDay(9), await playRoomDay(9)];
    expect([...again.taken, ...again.refused]).toEqual([...first.taken, ...first.refused]);
  });
});
