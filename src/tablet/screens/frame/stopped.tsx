import { type SyntheticEvent, useEffect, useId, useRef, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { PersonId } from "../../../book/identity.ts";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { clearFloor, takeBack } from "../../session/end-known.ts";
import { candidateDetails, personName } from "../../session/names.ts";
import { useNotebook, useSideRecords } from "../../session/services.tsx";
import type { Stop } from "../../session/stop-told.ts";
import { StoppedBy, StopTold } from "./stop-told.tsx";

/** Who has stopped the floor again and again, and how often. */
export interface Often {
  by: PersonId;
  count: number;
}
/** More of them would push the keys off the glass. */
const MOST_NAMED = 3;
const whys = ["hurt", "unwell", "own-wish"] as const;

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
  const { book, pass } = notebook;
  const say = useSay(frameWords);
  const makeSide = useSideRecords();
  const [isKept, setKept] = useState(false);
  const label = useId();
  const ref = useRef<HTMLDialogElement>(null);
  // Above whatever dialog is open, which takes no tap meanwhile.
  const cover = () => ref.current?.open === false && ref.current.showModal();
  useEffect(() => void cover());
  const isChief = pass.roles.includes("chief");
  const others = stops.filter((one) => one !== stop);
  const mayGoOn = isChief || pass.roles.includes("caller");
  const isDeaf = notebook.link !== "live";
  const wave = book.floor.currentCall?.body.wave;
  const onFloor =
    wave === undefined
      ? []
      : book.plan
          .lanes(wave)
          .filter((candidate) =>
            ["checked-in", "expected", "withdrawn"].includes(book.floor.presence(candidate)),
          );

  async function keepIncident(event: SyntheticEvent<HTMLFormElement>) {
    event.preventDefault();
    const form = event.currentTarget;
    const text = String(new FormData(form).get("text") ?? "").trim();
    if (!text || !pass.person) return;
    const { ref, record } = makeSide(pass.person, "text", { text });
    await notebook.write("incident", { text: ref }, { sides: [record] });
    form.reset();
    setKept(true);
  }
  const withdraw = (candidate: CandidateId, why: (typeof whys)[number]) => {
    const { floor } = book;
    const isBack = floor.withdrawal(candidate) === why;
    // The newest alone is shown: what was said for another reason nobody has read here.
    const shown = floor.withdrawals(candidate).filter(({ body }) => body.why === why);
    void (isBack
      ? takeBack(notebook, candidate, shown)
      : notebook.write("withdrawn", { candidate, why }));
  };

  return (
    <dialog
      ref={ref}
      className="stopped"
      role="alertdialog"
      aria-labelledby={label}
      onCancel={(event) => event.preventDefault()}
      onClose={cover}
    >
      <div className="stopped-sheet">
        <StopTold stop={stop} label={label} />
        {others.slice(-MOST_NAMED).map((one) => (
          <StoppedBy key={one.entry} stop={one} />
        ))}
        {others.length > MOST_NAMED && (
          <p>{say("stopped-more", { count: others.length - MOST_NAMED })}</p>
        )}
        <p className="stopped-help">{say("stopped-help")}</p>
        {onFloor.length > 0 && (
          <fieldset className="stopped-who">
            <legend>
              {say("stopped-withdraw")} <span>{say("stopped-withdraw-hint")}</span>
            </legend>
            {onFloor.map((candidate) => (
              <div key={candidate} className="stopped-candidate">
                <b>
                  {book.plan.entrant(candidate)?.number}{" "}
                  {candidateDetails(notebook, candidate)?.given}
                </b>
                {whys.map((why) => (
                  <Key
                    key={why}
                    pressed={book.floor.withdrawal(candidate) === why}
                    onClick={() => withdraw(candidate, why)}
                  >
                    {say(`withdraw-${why}`)}
                  </Key>
                ))}
              </div>
            ))}
          </fieldset>
        )}
        <form className="stopped-note" onSubmit={keepIncident}>
          <label>
            {say("incident-label")}
            <textarea name="text" rows={2} maxLength={2000} />
          </label>
          <Key type="submit">{say("incident-keep")}</Key>
          {isKept && <p role="status">{say("incident-kept")}</p>}
        </form>
        {isDeaf && stop.told !== "alone" && (
          <p className="stopped-help">{say(mayGoOn ? "stopped-deaf-clears" : "stopped-deaf")}</p>
        )}
        {isChief && often && (
          <p className="stopped-help">
            {say("stopped-often", {
              name: personName(notebook, often.by) ?? say("somebody"),
              count: often.count,
            })}
          </p>
        )}
        <div className="stopped-keys">
          {isChief && often && <Key onClick={onDoor}>{say("stopped-door")}</Key>}
          {stop.mayLeave && <Key onClick={onLeave}>{say("stopped-leave")}</Key>}
          {mayGoOn && (
            <Key kind="ink" onClick={() => void clearFloor(notebook, stops)}>
              {say("stopped-go-on")}
            </Key>
          )}
        </div>
        {!mayGoOn && <p className="stopped-wait">{say("stopped-wait")}</p>}
      </div>
    </dialog>
  );
}
