import { fnv1a } from "../../book/fnv.ts";
import type { CountId, DeviceId } from "../../book/identity.ts";
import type { CandidateId, SectionId } from "../identity.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import type { Basis } from "../kinds/body-parts.ts";
import { type MarkedPlace, markedPlaceKey } from "../kinds/marked-place.ts";
import { type AnyEntry, isKnown } from "./entry.ts";

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
  return place ? (`${device}.${markOf(place)}` as CountId) : device;
}

/** Whose count it is. */
export function deviceOf(count: string): DeviceId {
  const dot = count.indexOf(".");
  return (dot < 0 ? count : count.slice(0, dot)) as DeviceId;
}
/** Of a basis what can speak of these places: their counts, and the devices' own. */
export function basisFor(basis: Basis, places: readonly MarkedPlace[]): Basis {
  const marks = new Set(places.map(markOf));
  return Object.fromEntries(
    Object.entries(basis).filter(([count]) => {
      const dot = count.indexOf(".");
      return dot < 0 || marks.has(count.slice(dot + 1));
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

const marks = new Map<string, string>();
/** What every count over this place is called after its device. */
export function markOf(place: MarkedPlace): string {
  const text = markedPlaceKey(place);
  let mark = marks.get(text);
  if (!mark) marks.set(text, (mark = fnv1a(text).toString(16).padStart(8, "0")));
  return mark;
}
