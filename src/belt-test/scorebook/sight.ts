import type { AnchorId, CandidateId, PersonId, SectionId } from "../../book/identity.ts";
import { givenPart } from "./candidate-details.ts";
import { type AnyEntry, type EntryKind, isKnown, type Role } from "./entry.ts";
import type { SideRecord } from "./side-record.ts";

export interface Viewer {
  person: PersonId;
  roles: readonly Role[];
}

/**
 * Whether a viewer is sent an entry.
 * `now`: at once. `never`: not to this viewer. `waits`: when all of these are revealed, and not a moment earlier.
 * `ownFirst`: when this viewer has marked the same cells of that anchor, or nobody may mark it any more.
 */
export type Sight =
  | "now"
  | "never"
  | { waits: readonly { candidate: CandidateId; section: SectionId }[] }
  | { ownFirst: AnchorId };

/** Who is sent each kind, besides its writer. Marks and their like have rules of their own, below. */
const readersOf: Record<
  Exclude<
    EntryKind,
    | "mark"
    | "overall"
    | "faults"
    | "note"
    | "locked"
    | "answered"
    | "held"
    | "anchor-agreed"
    | "anchor-marked"
    | "let-in"
  >,
  readonly Role[] | "anyone"
> = {
  opened: "anyone",
  frozen: "anyone",
  "faults-frozen": "anyone",
  "rubric-replaced": "anyone",
  seated: "anyone",
  assigned: "anyone",
  "judge-replaced": "anyone",
  entered: "anyone",
  "lined-up": "anyone",
  started: "anyone",
  closed: "anyone",
  "checked-in": "anyone",
  absent: "anyone",
  unfit: "anyone",
  expected: "anyone",
  excused: "anyone",
  called: "anyone",
  paused: "anyone",
  resumed: "anyone",
  "lanes-swapped": "anyone",
  related: ["chief"],
  recused: ["chief", "caller"],
  stopped: "anyone",
  incident: ["chief"],
  withdrawn: "anyone",
  "floor-cleared": "anyone",
  revealed: ["chief", "judge"],
  "remark-asked": ["chief"],
  "review-settled": ["chief"],
  "held-sealed": ["chief"],
  verdict: ["chief"],
  "sheet-edited": ["chief"],
  "sheet-released": ["chief", "desk"],
  correction: ["chief"],
  "anchor-set": ["chief", "judge"],
  "severity-kept": ["chief"],
  "severities-used": ["chief"],
  "judge-told": ["chief"],
  // Whoever holds a name has to forget it.
  erased: "anyone",
};

/**
 * What a viewer may be sent of an entry. This is the blindness of the panel: a judge is never *sent* another judge's marks
 * before every judge assigned to that candidate and section has locked, and neither is the chief, who sees coverage only.
 * Somebody with several roles gets the narrowest view of marks until reveal.
 */
export function sight(viewer: Viewer, entry: AnyEntry): Sight {
  // What the hub held it says in the chief's name, who is not to know before the reveal how much it was.
  if (entry.by === viewer.person && entry.kind !== "held") return "now";
  // A kind from another year may hold anything: only the chief, who may see everything after reveal, is sent it, and never marks by guess.
  if (!isKnown(entry)) return "never";
  switch (entry.kind) {
    case "mark":
      return ofMarks(
        viewer,
        entry.body.cells.map(({ candidate }) => ({ candidate, section: entry.body.section })),
      );
    case "overall":
    case "faults":
    case "note":
      return ofMarks(viewer, [{ candidate: entry.body.candidate, section: entry.body.section }]);
    case "locked":
      // That somebody has locked is coverage; the lock itself bears a count of taps.
      return ofMarks(
        viewer,
        entry.body.candidates.map((candidate) => ({ candidate, section: entry.body.section })),
      );
    case "answered":
    case "held":
      return ofMarks(viewer, [{ candidate: entry.body.candidate, section: entry.body.section }]);
    case "anchor-agreed":
    case "anchor-marked":
      // What was agreed, and what others marked, would lead a judge's hand; a chief's too, who judges.
      if (!viewer.roles.includes("chief")) return "never";
      return viewer.roles.includes("judge") ? { ownFirst: entry.body.anchor } : "now";
    case "judge-told":
      // A judge's own page goes to that judge, and to no other.
      return viewer.roles.includes("chief") || entry.body.judge === viewer.person ? "now" : "never";
    case "let-in":
      // Whoever it was done in the name of is told, and whoever answers for the door.
      return viewer.roles.includes("chief") || entry.body.person === viewer.person
        ? "now"
        : "never";
    case "remark-asked":
      return viewer.roles.includes("chief") || entry.body.judge === viewer.person ? "now" : "never";
    default: {
      const readers = readersOf[entry.kind];
      return readers === "anyone" || readers.some((role) => viewer.roles.includes(role))
        ? "now"
        : "never";
    }
  }
}

function ofMarks(viewer: Viewer, places: { candidate: CandidateId; section: SectionId }[]): Sight {
  if (!viewer.roles.some((role) => role === "chief" || role === "judge")) return "never";
  const seen = new Set<string>();
  const waits = places.filter(({ candidate, section }) => {
    const key = `${candidate}/${section}`;
    return seen.has(key) ? false : seen.add(key);
  });
  return { waits };
}

/**
 * Which part of a side record a viewer may be sent; null for none of it.
 * Judges and callers get a candidate's given name (and how to say it) only; health goes to chief and desk; free texts to the chief.
 */
export function sideSight(viewer: Viewer, record: SideRecord): SideRecord | null {
  const isChief = viewer.roles.includes("chief");
  switch (record.kind) {
    case "candidate":
      return isChief || viewer.roles.includes("desk") ? record : givenPart(record);
    case "person":
      return record;
    case "health":
      return isChief || viewer.roles.includes("desk") ? record : null;
    case "text":
      return isChief ? record : null;
  }
}
