import { useRef, useState } from "react";
import { useLocation, useNavigate } from "react-router";
import type { PersonId } from "../../../book/identity.ts";
import { clockTime } from "../../../words/dates.ts";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { type Stop, useStops } from "../../session/stop-told.ts";
import css from "./session-frame.module.css";
import { type Often, Stopped } from "./stopped.tsx";

/** A stop covers every page. Whom it cannot hold puts it away: then one line of it stands above the page until it is over. */
export function StoppedFloor() {
  const notebook = useNotebook();
  const stops = useStops(notebook);
  const [left, setLeft] = useState<readonly Stop["entry"][]>([]);
  const often = useOften(stops, notebook.pass.person);
  const navigate = useNavigate();
  const { pathname, search } = useLocation();
  const door = pageAddress(notebook.pass.grading, "door");
  const last = stops.at(-1);
  if (!last) return null;
  if (pathname === door && search === ASIDE)
    return <StopStrip stop={last} onShow={() => void navigate(door, { replace: true })} />;
  // Whom one stop holds is not let go by a later one that holds nobody.
  const stop =
    stops.findLast(({ mayLeave }) => !mayLeave) ??
    stops.findLast(({ entry }) => !left.includes(entry));
  if (!stop) return <StopStrip stop={last} onShow={() => setLeft([])} />;
  return (
    <Stopped
      stop={stop}
      stops={stops}
      often={often}
      onDoor={() => void navigate(door + ASIDE)}
      onLeave={() => setLeft([...left, stop.entry])}
    />
  );
}

/** Bears the address of *Door* where the stop stands above it, so that the chief can take out whoever stops the floor again and again. */
const ASIDE = "?stop=aside";
/** So many stops of one person are no accident. */
const OFTEN = 3;

/** Which other person has stopped the floor so often since this page was loaded, cleared or not; whoever did so most. */
function useOften(stops: readonly Stop[], self: PersonId | undefined): Often | null {
  const heard = useRef(new Map<Stop["entry"], PersonId>()).current;
  for (const { entry, by } of stops) if (by !== self) heard.set(entry, by);
  const counts = new Map<PersonId, number>();
  for (const by of heard.values()) counts.set(by, (counts.get(by) ?? 0) + 1);
  const [most] = [...counts].sort(([, a], [, b]) => b - a);
  return most && most[1] >= OFTEN ? { by: most[0], count: most[1] } : null;
}

function StopStrip({ stop, onShow }: { stop: Stop; onShow: () => void }) {
  const say = useSay(frameWords);
  const notebook = useNotebook();
  const name = personName(notebook, stop.by) ?? say("somebody");
  const word =
    stop.told === "alone"
      ? "alone"
      : stop.told === "late"
        ? "late"
        : notebook.link === "live"
          ? "stands"
          : "deaf";
  return (
    <div className={`${css.stopStrip} not-on-paper`} role="status">
      <p>{say(`stopped-strip-${word}`, { name, time: clockTime(stop.at, say.locale) })}</p>
      <Key onClick={onShow}>{say("stopped-show")}</Key>
    </div>
  );
}
