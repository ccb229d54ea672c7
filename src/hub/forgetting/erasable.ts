import { isKnown } from "../../belt-test/scorebook/entry.ts";
import { nameIn } from "../../belt-test/scorebook/name-in.ts";
import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";

/** Somebody of whom a store keeps names or texts. */
export interface Erasable {
  grading: GradingId;
  /** Candidate or person. */
  about: string;
  /** Empty where only texts are left. */
  name: string;
  /** What their devices were called at the door. */
  atDoor: string[];
  /** Somebody who knocked and was never let in is known by a device alone. */
  device?: DeviceId;
  /** Of a candidate. */
  number: number | undefined;
  /** Names, notes, reasons and health words kept about them, and what their devices were called. */
  records: number;
}

/** Everybody of whom a store keeps anything that names or describes them, test by test. */
export async function erasable({
  store,
  door,
}: {
  store: ScorebookStore;
  door: DoorTables;
}): Promise<Erasable[]> {
  const found: Erasable[] = [];
  const filed = (await store.gradings()).map(({ grading }) => grading);
  const made = (await door.gradings()).map(({ grading }) => grading);
  for (const grading of new Set([...filed, ...made])) {
    const numbers = new Map<string, number>();
    for (const { entry } of await store.read(grading, 0))
      if (isKnown(entry) && entry.kind === "entered")
        numbers.set(entry.body.candidate, entry.body.number);
    const people = new Map<string, Erasable>();
    const bodies = new Map<string, object>();
    for (const { about, body } of await store.sides(grading)) {
      const its = people.get(about) ?? {
        grading,
        about,
        name: "",
        atDoor: [],
        number: numbers.get(about),
        records: 0,
      };
      its.records++;
      // Given name and the rest lie apart; what was corrected comes later.
      bodies.set(about, { ...bodies.get(about), ...body });
      its.name = nameIn(bodies.get(about));
      people.set(about, its);
    }
    for (const { name, person, device } of await door.devices(grading)) {
      if (!name) continue;
      const about = person ?? device;
      const its = people.get(about) ?? {
        grading,
        about,
        name: "",
        atDoor: [],
        ...(person ? {} : { device }),
        number: undefined,
        records: 0,
      };
      its.atDoor.push(name);
      its.records++;
      people.set(about, its);
    }
    found.push(...people.values());
  }
  return found;
}

/**
 * Whom somebody means by a name as it was entered, or given at the door, in whatever letters, or by an id.
 * @returns several in one test only where several there have that name.
 */
export function meant(people: readonly Erasable[], who: string): Erasable[] {
  const byId = people.filter(({ about }) => about === who);
  if (byId.length > 0) return byId;
  return people.filter(({ name, atDoor }) =>
    [name, ...atDoor].some((one) => one && plainName(one) === plainName(who)),
  );
}

/** A name as it is compared, in whatever letters it was typed. */
export const plainName = (text: string): string =>
  text.normalize("NFKC").trim().replace(/\s+/g, " ").toLowerCase();
