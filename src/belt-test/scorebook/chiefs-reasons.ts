import type { PersonId, SideRecordId } from "../../book/identity.ts";
import { byAge } from "../../book/order.ts";
import type { CandidateId, RubricId, SectionId } from "../identity.ts";
import { isKnown } from "./entry.ts";
import type { Scorebook } from "./scorebook.ts";

/** What a chief did out of the ordinary, with a reason: marks opened without a judge, a rubric put in another's place, or another given to one child. */
export type ChiefsReason = { by: PersonId; at: number; text: SideRecordId } & (
  | { kind: "revealed"; section: SectionId; candidates: readonly CandidateId[] }
  | { kind: "rubric-replaced"; title: string; version: number }
  | { kind: "entered"; candidate: CandidateId; rubric: RubricId }
);

/** Oldest first. */
export const chiefsReasons = (book: Scorebook): ChiefsReason[] =>
  [...book.entries()].sort(byAge).flatMap((entry): ChiefsReason[] => {
    if (!isKnown(entry)) return [];
    const { by, at } = entry;
    switch (entry.kind) {
      case "revealed": {
        const { section, candidates, reason } = entry.body;
        return [{ by, at, text: reason.id, kind: "revealed", section, candidates }];
      }
      case "rubric-replaced": {
        const { rubric, reason } = entry.body;
        const { title, version } = rubric;
        return [{ by, at, text: reason.id, kind: "rubric-replaced", title, version }];
      }
      case "entered": {
        const { candidate, rubric, reason } = entry.body;
        return reason ? [{ by, at, text: reason.id, kind: "entered", candidate, rubric }] : [];
      }
      default:
        return [];
    }
  });
