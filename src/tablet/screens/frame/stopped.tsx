import { type ComponentType, lazy, Suspense, useEffect, useId, useRef } from "react";
import type { PersonId } from "../../../book/identity.ts";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { clearFloor } from "../../session/end-known.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import type { Stop } from "../../session/stop-told.ts";
import { StoppedBy, StopTold } from "./stop-told.tsx";
import css from "./stopped.module.css";

/** Who has stopped the floor again and again, and how often. */
export interface Often {
  by: PersonId;
  count: number;
}
/** More of them would push the keys off the glass. */
const MOST_NAMED = 3;
/** What is said and pressed at once is here; this follows, and was asked for when the app began. */
export const loadAfter = async (): Promise<{ default: ComponentType }> => ({
  default: (await import("./stopped-after.tsx")).StoppedAfter,
});
const StoppedAfter = lazy(() => loadAfter().catch(() => ({ default: () => null })));

/*
 * Everybody in the hall, seconds after somebody shouted stop: eyes on the person, not on the tablet.
 * So it covers everything, says one thing, and lets each role do its one thing afterwards.
 */
export function Stopped({
  stop,
  stops,
  often,
  onDoor,
  onLeave,
}: {
  stop: Stop;
  /** All that stand. */
  stops: readonly Stop[];
  often: Often | null;
  onDoor: () => void;
  onLeave: () => void;
}) {
  const notebook = useNotebook();
  const { pass } = notebook;
  const say = useSay(frameWords);
  const label = useId();
  const ref = useRef<HTMLDialogElement>(null);
  // Above whatever dialog is open, which takes no tap meanwhile.
  const cover = () => ref.current?.open === false && ref.current.showModal();
  useEffect(() => void cover());
  const isChief = pass.roles.includes("chief");
  const others = stops.filter((one) => one !== stop);
  const mayGoOn = isChief || pass.roles.includes("caller");
  const isDeaf = notebook.link !== "live";

  return (
    <dialog
      ref={ref}
      className={css.root}
      role="alertdialog"
      aria-labelledby={label}
      onCancel={(event) => event.preventDefault()}
      onClose={cover}
    >
      <div className={css.sheet}>
        <StopTold stop={stop} label={label} />
        {others.slice(-MOST_NAMED).map((one) => (
          <StoppedBy key={one.entry} stop={one} />
        ))}
        {others.length > MOST_NAMED && (
          <p>{say("stopped-more", { count: others.length - MOST_NAMED })}</p>
        )}
        <p className={css.help}>{say("stopped-help")}</p>
        <Suspense>
          <StoppedAfter />
        </Suspense>
        {isDeaf && stop.told !== "alone" && (
          <p className={css.help}>{say(mayGoOn ? "stopped-deaf-clears" : "stopped-deaf")}</p>
        )}
        {isChief && often && (
          <p className={css.help}>
            {say("stopped-often", {
              name: personName(notebook, often.by) ?? say("somebody"),
              count: often.count,
            })}
          </p>
        )}
        <div className={css.keys}>
          {isChief && often && <Key onClick={onDoor}>{say("stopped-door")}</Key>}
          {stop.mayLeave && <Key onClick={onLeave}>{say("stopped-leave")}</Key>}
          {mayGoOn && (
            <Key kind="ink" onClick={() => void clearFloor(notebook, stops)}>
              {say("stopped-go-on")}
            </Key>
          )}
        </div>
        {!mayGoOn && <p className="wash">{say("stopped-wait")}</p>}
      </div>
    </dialog>
  );
}
