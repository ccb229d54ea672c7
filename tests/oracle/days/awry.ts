import type { AnyEntry } from "../../../src/book/entry.ts";
import type { GradingId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { playDay } from "../../world/day.ts";
import type { World } from "../../world/world.ts";
import type { Seated } from "../oracle-book.ts";

/** What the hub's disk holds after a simulated day of cut lines, killed hubs, full disks and old backups. */
export async function awryDay(seed: number): Promise<{
  grading: GradingId;
  people: Seated[];
  entries: AnyEntry[];
  sides: SideRecord[];
}> {
  const worlds: World[] = [];
  await playDay(seed, { look: (world) => worlds.push(world) });
  const [world] = worlds;
  const lines = (await world?.disk.lines()) ?? [];
  const entries = lines.map(({ entry }) => entry);
  const [first] = entries;
  if (!world || !first) throw new RangeError(`awryDay: nothing came of seed ${seed}`);
  const people = world.people.map(({ name, roles }): Seated => ({ person: name, roles }));
  return { grading: first.grading, people, entries, sides: await world.disk.sides() };
}
