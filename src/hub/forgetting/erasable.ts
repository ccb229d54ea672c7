import type { CandidateId } from "../../belt-test/identity.ts";
import { nameOf, namesIn } from "../../belt-test/scorebook/name-in.ts";
import { fold } from "../../belt-test/scorebook/scorebook.ts";
import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";

/** Somebody of whom a store keeps names or texts. */
export interface Erasable {
  grading: GradingId;
  /** Candidate or person. */
  about: string;
  /** As it stands in the book; empty where only texts are left. */
  name: string;
  /** What they are, or were, called: of a name that was corrected both. */
  called: readonly string[];
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
    const book = fold((await store.read(grading, 0)).map(({ entry }) => entry));
    const people = new Map<string, Erasable>();
    const sides = await store.sides(grading);
    for (const about of new Set<string>(sides.map((side) => side.about))) {
      const its = sides.filter((side) => side.about === about);
      const name = nameOf(book, about, its);
      const number = book.plan.entrant(about as CandidateId)?.number;
      const records = its.length;
      people.set(about, {
        grading,
        about,
        name,
        called: namesIn(its),
        atDoor: [],
        number,
        records,
      });
    }
    for (const { name, person, device } of await door.devices(grading)) {
      if (!name) continue;
      const about = person ?? device;
      // A device may bear the id of a child: it is somebody else.
      const key = person ?? `${device} at the door`;
      const its = people.get(key) ?? {
        grading,
        about,
        name: "",
        called: [],
        atDoor: [],
        ...(person ? {} : { device }),
        number: undefined,
        records: 0,
      };
      its.atDoor.push(name);
      its.records++;
      people.set(key, its);
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
  return people.filter(({ called, atDoor }) =>
    [...called, ...atDoor].some((one) => one && plainName(one) === plainName(who)),
  );
}

/**
 * A name as it is compared, in whatever letters it was typed. Small letters alone tell apart what one capital, or two, may stand for: ß and ẞ of SS,
 * ı of I, the two small forms of Σ. İ becomes an i with a dot beside it.
 */
export const plainName = (text: string): string =>
  text
    .normalize("NFKC")
    .trim()
    .replace(/\s+/g, " ")
    .toLowerCase()
    .toUpperCase()
    .toLowerCase()
    .replaceAll("i\u0307", "i");
