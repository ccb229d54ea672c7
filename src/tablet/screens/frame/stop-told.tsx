import type { PersonId } from "../../../book/identity.ts";
import { clockTime } from "../../../words/dates.ts";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { useLasting } from "../../parts/use-lasting.ts";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useNotebook } from "../../session/services.tsx";
import type { Stop } from "../../session/stop-told.ts";
import css from "./stopped.module.css";

/** A hub in reach answers sooner; until then nothing is claimed. Milliseconds. */
const ANSWERS_IN_MS = 500;

/** Who stopped the floor, and who knows of it: never more than this device can say. */
export function StopTold({ stop, label }: { stop: Stop; label: string }) {
  const notebook = useNotebook();
  const say = useSay(frameWords);
  const { told, isOwn } = stop;
  const isSilent = useLasting(told === "asking", ANSWERS_IN_MS);
  const time = clockTime(stop.at, say.locale);
  const name = personName(notebook, stop.by) ?? say("somebody");
  const mustShout = told === "alone" || isSilent;
  const away = told === "told" ? unreached(notebook) : [];
  return (
    <>
      <h1 id={label}>
        {mustShout
          ? say("stopped-shout")
          : told === "asking"
            ? say("stopped-telling")
            : told === "late"
              ? say("stopped-late-title", { time })
              : say("stopped-title")}
      </h1>
      {told === "late" ? (
        <p className={css.help}>
          {say(isOwn ? "stopped-late-own" : "stopped-late", { name, time })}
        </p>
      ) : (
        <>
          {(told === "alone" || told === "asking") && (
            <p className={css.help} role="status">
              {say(
                told === "alone"
                  ? "stopped-alone"
                  : isSilent
                    ? "stopped-unanswered"
                    : "stopped-asks",
              )}
            </p>
          )}
          <StoppedBy stop={stop} />
        </>
      )}
      {away.length > 0 && (
        <p className={css.help} role="status">
          {say("stopped-unreached", { names: listed(away, say.locale) })}
        </p>
      )}
      {told === "heard" && !stop.isKept && <p role="status">{say("stopped-unkept")}</p>}
    </>
  );
}

export function StoppedBy({ stop: { by, at, told } }: { stop: Stop }) {
  const notebook = useNotebook();
  const say = useSay(frameWords);
  const name = personName(notebook, by) ?? say("somebody");
  const time = clockTime(at, say.locale);
  return (
    <p>
      {say("stopped-by", { name, time })} {told === "told" && say("stopped-told")}
    </p>
  );
}

/** Whose devices the hub does not hear; known to the caller and the chief. */
function unreached(notebook: Notebook): string[] {
  const { presence } = notebook.news;
  const people = [...new Set(presence.map(({ person }) => person))] as PersonId[];
  return people
    .filter((one) => !presence.some(({ person, online }) => person === one && online))
    .flatMap((one) => personName(notebook, one) ?? []);
}
