import type { GradingId } from "../core/identity.ts";
import { isKnown } from "../core/scorebook/entry.ts";
import { nameIn } from "../core/scorebook/name-in.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";

/** Somebody of whom a store keeps names or texts. */
export interface Erasable {
  grading: GradingId;
  /** Candidate or person. */
  about: string;
  /** Empty where only texts are left. */
  name: string;
  /** Of a candidate. */
  number: number | undefined;
  /** Names, notes, reasons and health words kept about them. */
  records: number;
}

/** Everybody of whom a store keeps anything that names or describes them, test by test. */
export async function erasable(store: ScorebookStore): Promise<Erasable[]> {
  const found: Erasable[] = [];
  for (const { grading } of await store.gradings()) {
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
        number: numbers.get(about),
        records: 0,
      };
      its.records++;
      // Given name and the rest lie apart; what was corrected comes later.
      bodies.set(about, { ...bodies.get(about), ...body });
      its.name = nameIn(bodies.get(about));
      people.set(about, its);
    }
    found.push(...people.values());
  }
  return found;
}

/**
 * Whom somebody means by a name as it was entered, in whatever letters, or by an id.
 * @returns several in one test only where several there have that name.
 */
export function meant(people: readonly Erasable[], who: string): Erasable[] {
  const plain = (text: string) => text.normalize("NFKC").trim().replace(/\s+/g, " ").toLowerCase();
  const byId = people.filter(({ about }) => about === who);
  return byId.length > 0 ? byId : people.filter(({ name }) => name && plain(name) === plain(who));
}
