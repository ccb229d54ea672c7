import type { AnyEntry } from "../../book/entry.ts";
import type { PersonId } from "../../book/identity.ts";
import type { Sight, ViewerAs } from "../../book/readers.ts";
import type { SideRecord } from "../../book/side-record.ts";
import type { AnchorId } from "../identity.ts";
import { rowOf } from "../kinds/all-kinds.ts";
import type { Role } from "../kinds/body-parts.ts";
import { eachPlaceOnce, type MarkedPlace } from "../kinds/marked-place.ts";
import { givenPart } from "./candidate-details.ts";
import { type Entry, isKnown } from "./entry.ts";

export type Viewer = ViewerAs<Role>;

/** `waits`: for all of these places to be revealed. `ownFirst`: for this viewer's marks of the same cells of that anchor, or until nobody may mark it any more. */
type SightOfMarks = Sight<readonly MarkedPlace[], AnchorId>;

/**
 * What a viewer may be sent of an entry. This is the blindness of the panel: a judge is never *sent* another judge's marks
 * before every judge assigned to that candidate and section has locked, and neither is the chief, who sees coverage only.
 * Somebody with several roles gets the narrowest view of marks until reveal.
 */
export function sight(viewer: Viewer, entry: AnyEntry): SightOfMarks {
  // What the hub held it says in the chief's name, who is not to know before the reveal how much it was.
  if (entry.by === viewer.person && entry.kind !== "held") return "now";
  // A kind from another year may hold anything: nobody but its writer is sent it.
  if (!isKnown(entry)) return "never";
  const readers = readersFor(entry);
  if (readers === "anyone") return "now";
  const isChief = viewer.roles.includes("chief");
  if ("waits" in readers) return ofMarks(viewer, readers.waits);
  if ("ownFirst" in readers) {
    if (!isChief) return "never";
    return viewer.roles.includes("judge") ? { ownFirst: readers.ownFirst } : "now";
  }
  const isOf = readers.of === viewer.person || hasOneOf(viewer, readers.roles);
  return isOf ? "now" : "never";
}

const hasOneOf = (viewer: Viewer, roles: readonly Role[]): boolean =>
  roles.some((role) => viewer.roles.includes(role));

/** The readers of one entry, with what its body says of them. */
function readersFor(entry: Entry) {
  const { readers } = rowOf(entry.kind);
  const body = entry.body as never;
  if (readers === "anyone") return readers;
  if ("waits" in readers) return { waits: readers.waits(body) };
  if ("ownFirst" in readers) return { ownFirst: readers.ownFirst(body) };
  if ("of" in readers) return { of: readers.of(body), roles: readers.roles };
  return { of: undefined, roles: readers };
}

function ofMarks(viewer: Viewer, places: readonly MarkedPlace[]): SightOfMarks {
  if (!viewer.roles.some((role) => role === "chief" || role === "judge")) return "never";
  return { waits: eachPlaceOnce(places) };
}

/** A judge who is nobody: what this one must wait for, every judge but the writer must wait for. */
const stranger: Viewer = { person: "" as PersonId, roles: ["judge"] };
/** What an entry must be opened in before anybody but its writer is sent it; undefined for what nobody waits for. */
export function waitsOf(entry: AnyEntry): readonly MarkedPlace[] | undefined {
  const seen = sight(stranger, entry);
  return typeof seen === "object" && "waits" in seen ? seen.waits : undefined;
}

/**
 * Which part of a side record a viewer may be sent; null for none of it.
 * Judges and callers get a candidate's given name (and how to say it) only; health goes to chief and desk; free texts to the chief; what another year filed to nobody.
 */
export function sideSight(viewer: Viewer, record: SideRecord): SideRecord | null {
  const isChief = viewer.roles.includes("chief");
  // Who was taken out of the plan is somebody of the panel no more.
  if (viewer.roles.length === 0) return null;
  switch (record.kind) {
    case "candidate":
      return isChief || viewer.roles.includes("desk") ? record : givenPart(record);
    case "person":
      return record;
    case "health":
      return isChief || viewer.roles.includes("desk") ? record : null;
    case "text":
      return isChief ? record : null;
    default:
      return null;
  }
}
