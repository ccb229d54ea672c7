import type { AnyEntry } from "../../book/entry.ts";
import { rubricFindings } from "../rubric/check.ts";
import type { Finding } from "../rubric/finding.ts";
import { isKnown } from "./entry.ts";

/** A fault of a rubric that a book was given; the path begins in the rubric. */
export interface UnsoundRubric extends Pick<Finding, "code" | "path" | "with"> {
  entry: AnyEntry;
}

/**
 * What contradicts itself in the rubrics of a book, as `check` says it of a file. A book whose rubrics are not sound says nothing that could be relied on,
 * so whoever reads one (import, report, verify) asks here.
 */
export const unsoundRubrics = (entries: Iterable<AnyEntry>): UnsoundRubric[] =>
  [...entries].flatMap((entry) =>
    isKnown(entry) && (entry.kind === "frozen" || entry.kind === "rubric-replaced")
      ? rubricFindings(entry.body.rubric)
          .filter(({ severity }) => severity === "fault")
          .map(({ code, path, with: values }) => ({ entry, code, path, with: values }))
      : [],
  );
