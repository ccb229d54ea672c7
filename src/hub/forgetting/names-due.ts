import { type Retention, retention } from "../../belt-test/scorebook/retention.ts";
import type { GradingId } from "../../book/identity.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { ScorebookStore } from "../../ports/scorebook-store.ts";
import type { TitlePages } from "../test-room/title-pages.ts";

/** Of whom a test keeps a name or a text: candidates and people by id, and how many records. */
export interface Named {
  abouts: string[];
  /** Names at the door of whoever was never let in. */
  strangers: number;
  records: number;
  /** Those of the records that are no words of somebody about somebody. */
  details: number;
}
/** A test whose names are due to go, or will be within a month. */
export interface TestDue extends Named, Retention {
  grading: GradingId;
  title: string;
  date: string;
}

/** Everybody named in a test: by the records beside the book, and by what their devices were called at the door. */
export async function namedIn(
  { store, door }: { store: ScorebookStore; door: DoorTables },
  grading: GradingId,
): Promise<Named> {
  const sides = await store.sides(grading);
  const named = (await door.devices(grading)).filter(({ name }) => name);
  const atDoor = named.flatMap(({ person }) => (person ? [person as string] : []));
  return {
    abouts: [...new Set([...sides.map(({ about }) => about as string), ...atDoor])],
    strangers: named.filter(({ person }) => !person).length,
    records: sides.length,
    details: sides.filter(({ kind }) => kind !== "text").length,
  };
}

/**
 * Tests whose names are soon due or due, the longest due first. The invented example, where nobody is real, is left out; so is a test that
 * names nobody any more.
 * @param today  ISO 8601.
 */
export async function namesDue(
  from: { store: ScorebookStore; door: DoorTables; pages: TitlePages },
  months: number,
  today: string,
): Promise<TestDue[]> {
  const gradings = (await from.store.gradings()).map(({ grading }) => grading);
  const found: TestDue[] = [];
  for (const { grading, title = "", date, isExample } of await from.pages.of(gradings)) {
    if (!date || isExample) continue;
    const its = retention(date, months, today);
    if (its.state === "kept") continue;
    const named = await namedIn(from, grading);
    if (named.abouts.length + named.strangers > 0)
      found.push({ grading, title, date, ...its, ...named });
  }
  return found.sort((a, b) => a.daysLeft - b.daysLeft);
}
