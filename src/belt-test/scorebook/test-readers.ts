import type { Readers } from "../../book/readers.ts";
import type { AnchorId } from "../identity.ts";
import { kindsThatAre } from "../kinds/all-kinds.ts";
import type { Role } from "../kinds/body-parts.ts";
import { type MarkedPlace, markedPlaceKey } from "../kinds/marked-place.ts";
import { AfterOwnLock } from "./after-own-lock.ts";
import { isKnown } from "./entry.ts";
import { OwnMarksFirst } from "./own-marks-first.ts";
import { isAway } from "./presence.ts";
import { Scorebook } from "./scorebook.ts";
import { sight, waitsOf } from "./sight.ts";

/** What readers of a belt test's book are sent. */
export const testReaders: Readers<Scorebook, Role, readonly MarkedPlace[], AnchorId> = {
  emptyBook: () => new Scorebook(),
  sight,
  waitsOf,
  /** Those that can make the last missing lock unnecessary, or give it. */
  mayOpen: kindsThatAre("may-open"),
  openness({ plan, openings, floor }) {
    const asked = new Map<string, boolean>();
    const isRevealed = (place: MarkedPlace): boolean => {
      const key = markedPlaceKey(place);
      let revealed = asked.get(key);
      if (revealed === undefined) {
        revealed = plan.isClosed || openings.isRevealed(place.candidate, place.section);
        asked.set(key, revealed);
      }
      return revealed;
    };
    return {
      isOpen(waits) {
        // Of several children, as old books have them, those who take no part any more let nobody wait; what is of them alone waits for the closing.
        const here = waits.filter(({ candidate }) => !isAway(floor.presence(candidate)));
        return (here.length > 0 ? here : waits).every(isRevealed);
      },
    };
  },
  /** A chief who is seated as a judge is one on every device, also on one let in as the chief's alone. */
  seatedBy(viewer, entry) {
    const { person, roles } = viewer;
    if (!isKnown(entry) || entry.kind !== "seated" || entry.body.person !== person)
      return undefined;
    // Beside the chief's role the judge's only narrows; beside another it would widen.
    const isJudge = roles.includes("chief") && entry.body.roles.includes("judge");
    return isJudge ? { person, roles: [...roles, "judge"] } : viewer;
  },
  /** The chief is sent all that is open. */
  afterOwn: ({ person, roles }) => (roles.includes("chief") ? undefined : new AfterOwnLock(person)),
  ownFirst: ({ person }) => new OwnMarksFirst(person),
};
