import type { PersonId } from "../../book/identity.ts";
import { NOW } from "../../book/order.ts";
import type { CriterionId, ItemId } from "../identity.ts";
import type { EntryOf } from "./entry.ts";

/** What is asked of a judge there; without a list everything. */
export interface Asked {
  items?: readonly ItemId[] | undefined;
  criteria?: readonly CriterionId[] | undefined;
}

/** One watch of a judge there, as it stands. */
export interface HeldPlace extends Asked {
  /** Who has had it, in turn; the first had it in the plan, the last has it. */
  holders: readonly PersonId[];
  holder: PersonId;
  /**
   * Of the holders those whose word there is this place's. Whoever gave it on, and had another place there longer, or has one since, says what they say in that
   * one; only where both went to one judge at once, one word is enough for both.
   */
  speakers: readonly PersonId[];
}

/** From when to when, in logical time, somebody had a place. */
interface Tenure {
  holder: PersonId;
  from: number;
  until: number;
}

/**
 * Who had a place, in turn; one who has it again stands there again. Whoever gave it away may still say to whom it goes, unless it went back to somebody from
 * before: the newest word on a place stands.
 *
 * @param replacements  oldest first
 */
export function tenuresOf(
  judge: PersonId,
  replacements: readonly EntryOf<"judge-replaced">[],
  at: number,
  since = 0,
): Tenure[] {
  const tenures: Tenure[] = [{ holder: judge, from: since, until: NOW }];
  for (const { lamport, body } of replacements) {
    if (lamport > at) break;
    if (body.places && !body.places.includes(judge)) continue;
    const held = tenures.findLastIndex(({ holder }) => holder === body.judge);
    const { holder } = tenures.at(-1) as Tenure;
    const wentBack = tenures.slice(0, Math.max(held, 0)).some((one) => one.holder === holder);
    if (held < 0 || body.by === body.judge || (holder !== body.judge && wentBack)) continue;
    const [given] = tenures.splice(held);
    tenures.push(
      { ...(given as Tenure), until: lamport },
      { holder: body.by, from: lamport, until: NOW },
    );
  }
  return tenures;
}

/** A watch that names a child, or has named it. */
export interface Watch extends Asked {
  judge: PersonId;
  /** When it first named the child, in logical time. */
  since: number;
  /** When it named the child no more; `NOW` while it does. */
  until: number;
}

/**
 * The giving by which this judge said their last there, in logical time, up to a moment: whoever has a place again, and goes on, says more. Of the givings of one
 * stay in one place the first. Undefined where they gave none away, or are still in all of theirs.
 */
export function partedAt(
  judge: PersonId,
  watches: readonly Watch[],
  replacements: readonly EntryOf<"judge-replaced">[],
  at: number,
): number | undefined {
  const ends = watches.flatMap((watch) =>
    tenuresOf(watch.judge, replacements, at, watch.since).flatMap(({ holder, from, until }) =>
      holder === judge && until < NOW
        ? (replacements.find(
            ({ lamport, body }) =>
              lamport > from &&
              lamport <= until &&
              body.judge === judge &&
              body.by !== judge &&
              (!body.places || body.places.includes(watch.judge)),
          )?.lamport ?? [])
        : [],
    ),
  );
  return ends.length > 0 ? Math.max(...ends) : undefined;
}

/** @param watches  all there have been of a child's section @returns of those that are still there who had them, and whose word is theirs; in no order */
export function heldPlaces(
  watches: readonly Watch[],
  replacements: readonly EntryOf<"judge-replaced">[],
  at: number,
): HeldPlace[] {
  const places = watches.map(({ judge, until, items, criteria }) => {
    // A child that went to another wave is in another watch of the same judge.
    const ofJudge = watches.filter((one) => one.judge === judge);
    const since = Math.min(...ofJudge.map((one) => one.since));
    const tenures = tenuresOf(judge, replacements, at, since);
    return { since, until, items, criteria, tenures, now: tenures.at(-1) as Tenure };
  });
  return places
    .filter(({ until }) => until === NOW)
    .map((place) => {
      const { tenures, now, since, items, criteria } = place;
      const { holder } = now;
      const saysInAnother = (one: Tenure) =>
        places.some(
          (other) =>
            !(other.until === NOW && other.now.holder === holder && other.now.from === now.from) &&
            other.tenures.some(
              (its) => its.holder === one.holder && Math.min(its.until, other.until) > one.until,
            ),
        );
      const speaks = tenures.filter(
        (one) =>
          one.holder === holder ||
          // Whoever gave it on before the watch was of this child never had it there.
          (one.until >= since && !saysInAnother(one)),
      );
      const ofEach = (some: readonly Tenure[]) => some.map((one) => one.holder);
      return { holder, holders: ofEach(tenures), speakers: ofEach(speaks), items, criteria };
    });
}
