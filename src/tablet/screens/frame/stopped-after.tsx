import { type SyntheticEvent, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import afterWords from "../../../words/en/stopped-after.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { takeBack } from "../../session/end-known.ts";
import { candidateDetails } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { useSideRecords } from "../../session/use-side-records.ts";
import css from "./stopped-after.module.css";

const whys = ["hurt", "unwell", "own-wish"] as const;

/** Once the person is looked after, a minute or two later: who cannot go on, and what happened. */
export function StoppedAfter() {
  const notebook = useNotebook();
  const { book, pass } = notebook;
  const say = useSay(afterWords);
  const makeSide = useSideRecords();
  const [isKept, setKept] = useState(false);
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
    <>
      {onFloor.length > 0 && (
        <fieldset className={css.who}>
          <legend>
            {say("withdraw")} <span>{say("withdraw-hint")}</span>
          </legend>
          {onFloor.map((candidate) => (
            <div key={candidate} className={css.candidate}>
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
      <form className={css.note} onSubmit={keepIncident}>
        <label>
          {say("incident-label")}
          <textarea name="text" rows={2} maxLength={2000} />
        </label>
        <Key type="submit">{say("incident-keep")}</Key>
        {isKept && <p role="status">{say("incident-kept")}</p>}
      </form>
    </>
  );
}
