import type { CandidateId, PersonId, SectionId, SideRecordId } from "../identity.ts";
import { type AnyEntry, type EntryOf, isKnown } from "./entry.ts";
import { byAge } from "./order.ts";
import type { Scorebook } from "./scorebook.ts";

/** What a chief did out of the ordinary, with a reason: marks opened without a judge, or a rubric put in another's place. */
export type ChiefsReason = { by: PersonId; at: number; text: SideRecordId } & (
  | { kind: "revealed"; section: SectionId; candidates: readonly CandidateId[] }
  | { kind: "rubric-replaced"; title: string; version: number }
);

/** Oldest first. */
export const chiefsReasons = (book: Scorebook): ChiefsReason[] =>
  [...book.entries()]
    .filter(
      (entry): entry is EntryOf<"revealed" | "rubric-replaced"> & AnyEntry =>
        isKnown(entry) && (entry.kind === "revealed" || entry.kind === "rubric-replaced"),
    )
    .sort(byAge)
    .map((entry) => {
      const { by, at } = entry;
      const said = { by, at, text: entry.body.reason.id };
      if (entry.kind === "revealed") {
        const { section, candidates } = entry.body;
        return { ...said, kind: "revealed", section, candidates };
      }
      const { title, version } = entry.body.rubric;
      return { ...said, kind: "rubric-replaced", title, version };
    });
