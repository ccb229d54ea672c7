import { NavLink } from "react-router";
import type { Role } from "../../belt-test/kinds/body-parts.ts";
import frameWords from "../../words/en/frame.json" with { type: "json" };
import { useSay } from "./use-say.ts";
import "./role-links.css";

type Place =
  | "board"
  | "panel"
  | "sheets"
  | "door"
  | "set-up"
  | "kept"
  | "desk"
  | "caller"
  | "judge"
  | "own";
const addresses: Record<Place, string> = {
  board: "chief",
  panel: "chief/panel",
  sheets: "sheets",
  door: "chief/door",
  "set-up": "set-up",
  kept: "chief/kept",
  desk: "desk",
  caller: "caller",
  judge: "judge",
  own: "own",
};

/** Where each role may go. The chief examiner may also sit at the desk and call; marks only when seated as a judge. */
function placesOf(roles: readonly Role[]): Place[] {
  const isChief = roles.includes("chief");
  return [
    ...(isChief ? (["board", "panel", "sheets", "door", "set-up", "kept"] as const) : []),
    ...(isChief || roles.includes("desk") ? (["desk"] as const) : []),
    ...(isChief || roles.includes("caller") ? (["caller"] as const) : []),
    ...(roles.includes("judge") ? (["judge", "own"] as const) : []),
  ];
}

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
  const say = useSay(frameWords);
  const places = placesOf(roles);
  if (places.length < 2) return null;
  return (
    <nav className="role-links" aria-label={say("nav-label")}>
      {places.map((place) => (
        <NavLink key={place} end to={`/tests/${grading}/${addresses[place]}`}>
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
