import type { AnyEntry } from "../../book/entry.ts";
import type { SideRules } from "../../book/side-rules.ts";
import { isKnown } from "./entry.ts";
import { namesIn } from "./name-in.ts";
import { isOutOfTurn } from "./out-of-turn.ts";
import { sideFault } from "./side-fault.ts";

/** A stop, an incident, a withdrawal and next year's kinds are taken with whatever they name. */
const isAsked = (entry: AnyEntry): boolean => isKnown(entry) && !isOutOfTurn(entry);

/** What a belt test's entries say of the names and texts beside them. */
export const testSides: SideRules = {
  isKnown,
  faultOf: sideFault,
  spokenOfIn({ body }) {
    const { candidate, candidates, person, judge } = body as Record<string, unknown>;
    const several = Array.isArray(candidates) ? candidates : [];
    return [candidate, ...several, person, judge].filter((one) => typeof one === "string");
  },
  isAsked,
  hasWords: (entry) => isAsked(entry) || entry.kind === "incident",
  isWordless: ({ kind }) => kind === "mark",
  seatedIn: (entry) => (isKnown(entry) && entry.kind === "seated" ? entry.body.person : undefined),
  namesIn,
  erasedIn: (entry) => (isKnown(entry) && entry.kind === "erased" ? entry.body.about : undefined),
};
