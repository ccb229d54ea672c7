import { NavLink } from "react-router";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import waysWords from "../../words/en/ways.json" with { type: "json" };
import css from "./role-links.module.css";
import { type PageName, pageAddress, testPages } from "./test-pages.ts";
import { useSay } from "./use-say.ts";

/** The chief examiner may also sit at the desk and call; marks only when seated as a judge. */
const ways = [
  "board",
  "panel",
  "sheets",
  "door",
  "set-up",
  "kept",
  "desk",
  "caller",
  "judge",
  "own",
] as const satisfies readonly PageName[];

/**
 * The ways around a belt test for somebody who holds more than one part of it; nothing for everybody else.
 * @param waiting  so many stand at the door, for whoever can let them in
 */
export function RoleLinks({
  grading,
  roles,
  waiting,
}: {
  grading: string;
  roles: readonly Role[];
  waiting: number;
}) {
  const say = useSay(waysWords);
  const places = ways.filter((page) => testPages[page].of.some((role) => roles.includes(role)));
  if (places.length < 2) return null;
  return (
    <nav className={css.root} data-part="role-links" aria-label={say("nav-label")}>
      {places.map((place) => (
        <NavLink key={place} end to={pageAddress(grading, place)}>
          {say(`nav-${place}`)}
          {place === "door" && waiting > 0 && (
            <b>
              {waiting}
              <span className="unseen"> {say("nav-waiting")}</span>
            </b>
          )}
        </NavLink>
      ))}
    </nav>
  );
}
