import { deviceOf } from "../../book/counts.ts";
import type { PersonId } from "../../book/identity.ts";
import type { Stroke } from "../../ratings/effects/pace.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { markedPlaceKey } from "../kinds/marked-place.ts";
import { sectionOf } from "../rubric/lookup.ts";
import { isKnown } from "../scorebook/entry.ts";
import type { Scorebook } from "../scorebook/scorebook.ts";

/**
 * Every line of marks by its judge, as `pace` reads it: of sections that are open, lists and what is marked once a section without a place.
 *
 * @param waveOf who stood on the floor together. @returns none of a judge without a line in an open section.
 *   A wave that is marked side by side is one place; candidates who show alone are one each.
 */
export function markStrokes(
  book: Scorebook,
  waveOf: (candidate: CandidateId) => number,
): ReadonlyMap<PersonId, Stroke[]> {
  const found = new Map<PersonId, Stroke[]>();
  const open = new Map<string, boolean>();
  const isOpen = (candidate: CandidateId, section: SectionId): boolean => {
    const key = markedPlaceKey({ candidate, section });
    let known = open.get(key);
    if (known === undefined) open.set(key, (known = book.openings.isRevealed(candidate, section)));
    return known;
  };
  for (const entry of book.entries()) {
    if (!isKnown(entry) || entry.kind !== "mark") continue;
    const { by, device, lamport, at, body } = entry;
    const { section, item, side, cells } = body;
    const [first] = cells;
    if (!first || !cells.every(({ candidate }) => isOpen(candidate, section))) continue;
    const rubric = book.plan.rubricOf(first.candidate);
    const marking = rubric && sectionOf(rubric, section)?.marking;
    const whom = marking === "line" ? waveOf(first.candidate) : first.candidate;
    const isWatched = item !== null && marking !== undefined && marking !== "checklist";
    const place = isWatched ? `${section}/${item}/${side ?? ""}/${whom}` : null;
    const its = found.get(by);
    const stroke = { device: deviceOf(device), lamport, atMs: at, place };
    if (its) its.push(stroke);
    else found.set(by, [stroke]);
  }
  return found;
}
