import type { Basis } from "../../book/counts.ts";
import { countOfPlace, deviceOf, markOfPlace, placeMarkOf } from "../../book/counts.ts";
import type { AnyEntry } from "../../book/entry.ts";
import type { CountId, DeviceId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import { type MarkedPlace, markedPlaceKey } from "../kinds/marked-place.ts";
import { isKnown } from "./entry.ts";

const ofPlaces = kindsThatAre("of-a-place");

/**
 * A device counts what it writes of each child's section by itself, apart from all else it writes: whoever is sent what is open could tell
 * from gaps in one count how often its owner has tapped where the marks are still closed. All of one count opens together.
 * A count is called by its device and a mark of its place, so that nobody has to agree on anything.
 *
 * @returns the one place whose marks this is, or speaks of; undefined for everything else, and for lines of the first rules over several children.
 */
export function countedPlace(kind: string, body: object): MarkedPlace | undefined {
  if (!ofPlaces.has(kind)) return undefined;
  const { section, candidate, candidates, cells } = body as {
    section: SectionId;
    candidate?: CandidateId;
    candidates?: readonly CandidateId[];
    cells?: readonly { candidate: CandidateId }[];
  };
  const all = candidates ?? cells?.map((cell) => cell.candidate) ?? (candidate ? [candidate] : []);
  const [one, ...others] = new Set(all);
  return one && others.length === 0 ? { candidate: one, section } : undefined;
}

/** What a device calls its count for this place; its own for none. */
export function countOf(device: DeviceId, place: MarkedPlace | undefined): CountId {
  return place ? countOfPlace(device, markOf(place)) : device;
}

/** Of a basis what can speak of these places: their counts, and the devices' own. */
export function basisFor(basis: Basis, places: readonly MarkedPlace[]): Basis {
  const marks = new Set(places.map(markOf));
  return Object.fromEntries(
    Object.entries(basis).filter(([count]) => {
      const mark = placeMarkOf(count);
      return mark === undefined || marks.has(mark);
    }),
  ) as Basis;
}

/** Whether an entry stands in a count of its own place. One of a device's own count may be anything: tablets of before have no other. */
export function isCountedRightly(entry: AnyEntry): boolean {
  const device = deviceOf(entry.device);
  if (device === entry.device) return true;
  const place = isKnown(entry) ? countedPlace(entry.kind, entry.body) : undefined;
  return place !== undefined && entry.device === countOf(device, place);
}

/** What every count over this place is called after its device. */
export const markOf = (place: MarkedPlace): string => markOfPlace(markedPlaceKey(place));
