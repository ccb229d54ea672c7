import { beforeEach, expect, it } from "vitest";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { DeviceRow, DoorTables } from "../../src/ports/door-tables.ts";
import { aGradingId } from "../builders/a-pen.ts";

const device = "tablet-1" as DeviceId;
const chief = "person-1" as PersonId;

function aKnock(more: Partial<DeviceRow> = {}): DeviceRow {
  return {
    grading: aGradingId,
    device,
    name: "Ada's tablet",
    wants: "judge",
    state: "waiting",
    person: null,
    roles: [],
    tokenHash: "hash-1",
    address: "192.168.1.20",
    sinceMs: Date.UTC(2026, 5, 6, 9),
    ...more,
  };
}

/** What the tables of a door promise, whatever they are made of. `open` gives empty ones. */
export function itKeepsTheDoorContract(open: () => DoorTables | Promise<DoorTables>): void {
  let door: DoorTables;
  beforeEach(async () => {
    door = await open();
  });

  it("[L18] keeps settings by name, the first of two that settle one, and takes one away once", async () => {
    expect(await door.setting("key")).toBeUndefined();
    await door.keepSetting("key", "old");
    await door.keepSetting("key", "new");
    expect(await door.setting("key")).toBe("new");
    expect(await door.settleSetting("chief", "first")).toBe("first");
    expect(await door.settleSetting("chief", "second")).toBe("first");
    expect(await door.takeSetting("key", "old")).toBe(false);
    const taken = await Promise.all([1, 2, 3].map(() => door.takeSetting("key", "new")));
    expect(taken.filter(Boolean)).toEqual([true]);
    expect(await door.setting("key")).toBeUndefined();
    await door.keepSetting("hub:%_b", "2");
    await door.keepSetting("hub:a", "1");
    expect(await door.settings("hub:")).toEqual([
      { name: "hub:%_b", value: "2" },
      { name: "hub:a", value: "1" },
    ]);
    expect(await door.settings("hub:%")).toEqual([{ name: "hub:%_b", value: "2" }]);
  });

  it("[L18] knows a chief by the hash of a token", async () => {
    await door.keepChief("hash-9", device, chief, 5);
    expect(await door.chief("hash-9")).toEqual({ person: chief, device });
    expect(await door.chief("hash-8")).toBeUndefined();
  });

  it("[L18] lists chiefs, and ends a token in every grading and as a chief's", async () => {
    await door.keepChief("hash-1", device, chief, 5);
    await door.keepChief("hash-2", "laptop" as DeviceId, chief, 4);
    expect(await door.chiefs()).toEqual([
      { tokenHash: "hash-2", device: "laptop", person: chief, sinceMs: 4 },
      { tokenHash: "hash-1", device, person: chief, sinceMs: 5 },
    ]);
    const other = "grading-2" as GradingId;
    const row = aKnock({ state: "admitted", person: chief, roles: ["chief"] });
    for (const grading of [aGradingId, other]) await door.keepDevice({ ...row, grading });
    const stays = { ...row, device: "tablet-2" as DeviceId, tokenHash: "hash-2" };
    await door.keepDevice(stays);
    const ended = await door.endToken("hash-1");
    expect(ended.map(({ grading, state }) => [grading, state]).sort()).toEqual(
      [
        [aGradingId, "revoked"],
        [other, "revoked"],
      ].sort(),
    );
    expect(await door.chief("hash-1")).toBeUndefined();
    expect(await door.devicesByToken("hash-1")).toHaveLength(2);
    expect(await door.device(aGradingId, stays.device)).toEqual(stays);
    expect(await door.endToken("hash-1")).toHaveLength(2);
    expect(await door.endToken("hash-9")).toEqual([]);
  });

  it("[L18] gives no two gradings one code, and leaves a grading as it was made", async () => {
    const [one, two] = ["g1", "g2"] as GradingId[] as [GradingId, GradingId];
    expect(await door.makeGrading({ grading: one, code: "AAAAAA", madeBy: chief }, 1)).toBe(true);
    const other = { grading: one, code: "BBBBBB", madeBy: "person-2" as PersonId };
    expect(await door.makeGrading(other, 2)).toBe(true);
    expect(await door.grading(one)).toEqual({ grading: one, code: "AAAAAA", madeBy: chief });
    expect(await door.makeGrading({ grading: two, code: "AAAAAA", madeBy: chief }, 3)).toBe(false);
    expect(await door.makeGrading({ grading: two, code: "CCCCCC", madeBy: chief }, 3)).toBe(true);
    expect(await door.changeCode(two, "AAAAAA")).toBe(false);
    expect(await door.changeCode(two, "DDDDDD")).toBe(true);
    expect((await door.gradingByCode("DDDDDD"))?.grading).toBe(two);
    expect(await door.gradingByCode("CCCCCC")).toBeUndefined();
    expect((await door.gradings()).map(({ grading }) => grading)).toEqual([two, one]);
  });

  it("[L18] lets a device knock again from where it waits, and nobody else in its place", async () => {
    expect(await door.knock(aKnock())).toBe(true);
    expect(await door.knock(aKnock({ tokenHash: "hash-2" }))).toBe(true);
    expect(await door.knock(aKnock({ tokenHash: "hash-3", address: "192.168.1.66" }))).toBe(false);
    expect((await door.device(aGradingId, device))?.tokenHash).toBe("hash-2");
    await door.decide(aGradingId, device, { state: "admitted", person: chief, roles: ["judge"] });
    expect(await door.knock(aKnock({ tokenHash: "hash-4" }))).toBe(false);
    await door.decide(aGradingId, device, { state: "revoked" });
    // What was written on it, and a file with its seal, stay its own.
    expect(await door.knock(aKnock({ tokenHash: "hash-5" }))).toBe(false);
    expect(await door.devicesByToken("hash-2")).toHaveLength(1);
    const refused = aKnock({ device: "tablet-3" as DeviceId });
    expect(await door.knock(refused)).toBe(true);
    await door.decide(aGradingId, refused.device, { state: "refused" });
    const again = { ...refused, tokenHash: "hash-6", address: "192.168.1.66" };
    expect(await door.knock(again)).toBe(true);
    expect(await door.devicesByToken("hash-6")).toHaveLength(1);
  });

  it("[L18] changes how a device stands and nothing else of it", async () => {
    await door.knock(aKnock());
    const roles = ["judge", "caller"] as const;
    const row = await door.decide(aGradingId, device, { state: "admitted", person: chief, roles });
    expect(row).toEqual(aKnock({ state: "admitted", person: chief, roles: [...roles] }));
    expect(await door.decide(aGradingId, device, { state: "revoked" })).toEqual({
      ...row,
      state: "revoked",
    });
    expect(await door.device(aGradingId, device)).toMatchObject({
      state: "revoked",
      person: chief,
    });
    const nobody = "tablet-9" as DeviceId;
    expect(await door.decide(aGradingId, nobody, { state: "refused" })).toBeUndefined();
    await door.forgetNames(aGradingId, chief);
    expect((await door.device(aGradingId, device))?.name).toBe("");
  });

  it("[H99] forgets what some devices were called, which are nobody's, and no other's", async () => {
    const [other, third] = ["tablet-2", "tablet-3"] as DeviceId[] as [DeviceId, DeviceId];
    await door.keepDevice(aKnock({ device: third, state: "refused" }));
    await door.keepDevice(aKnock({ state: "refused" }));
    await door.keepDevice(aKnock({ device: other, state: "refused" }));
    await door.forgetDevices(aGradingId, [device, third]);
    const names = (await door.devices(aGradingId)).map((row) => [row.device, row.name]);
    expect(names).toContainEqual([device, ""]);
    expect(names).toContainEqual([third, ""]);
    expect(names).toContainEqual([other, "Ada's tablet"]);
  });

  it("[L18] lists the devices of one grading, oldest first, and those of one token, newest first", async () => {
    const other = "grading-2" as GradingId;
    await door.keepDevice(aKnock({ sinceMs: 2 }));
    await door.keepDevice(aKnock({ device: "tablet-2" as DeviceId, sinceMs: 1 }));
    await door.keepDevice(aKnock({ grading: other, sinceMs: 3 }));
    await door.keepDevice(aKnock({ sinceMs: 2, name: "again" }));
    const names = (await door.devices(aGradingId)).map((row) => [row.device, row.name]);
    expect(names).toEqual([
      ["tablet-2", "Ada's tablet"],
      ["tablet-1", "again"],
    ]);
    const byToken = await door.devicesByToken("hash-1");
    expect(byToken.map(({ sinceMs }) => sinceMs)).toEqual([3, 2, 1]);
  });
}
