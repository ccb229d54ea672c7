import { useState } from "react";
import { mayBeMarked } from "../../../belt-test/scorebook/marked-so-far.ts";
import { FreeText } from "../../../belt-test/scorebook/side-bodies.ts";
import type { EntryId } from "../../../book/identity.ts";
import deskWords from "../../../words/en/desk.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { Belt } from "../../parts/belt.tsx";
import { Key } from "../../parts/key.tsx";
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useSideRecords } from "../../session/use-side-records.ts";
import css from "./desk.module.css";
import { type DeskRow, shownOf } from "./desk-rows.ts";

const choices = [
  { presence: "checked-in", word: "here" },
  { presence: "absent", word: "absent" },
  { presence: "unfit", word: "unfit" },
] as const;

/** One candidate at the desk: one tap says what is so, the same tap again takes it back. Whoever may have marks is taken out with a second one. */
export function DeskLine({
  row,
  notebook,
  onTouched,
}: {
  row: DeskRow;
  notebook: Notebook;
  onTouched: () => void;
}) {
  const say = useSay(deskWords);
  const { candidate, number, given, family, presence, belt, place } = row;
  const { isClosed } = notebook.book.plan;

  const [asked, setAsked] = useState<"absent" | "unfit">();
  /** What stood before a child who may have marks was taken out here. */
  const [before, setBefore] = useState<"checked-in" | "expected">();
  const [takenOut, setTakenOut] = useState<EntryId>();
  const isTold = takenOut !== undefined && notebook.outbox.isSent(takenOut);
  const isOut = presence === "absent" || presence === "unfit";

  function choose(chosen: (typeof choices)[number]["presence"]) {
    onTouched();
    const isMarked = !isOut && mayBeMarked(notebook.book, candidate);
    // A second tap takes nobody off the floor: whoever leaves is absent or not fit, and that is asked.
    if (chosen === "checked-in" && presence === chosen && isMarked) return;
    if (chosen !== "checked-in" && isMarked) return setAsked(chosen);
    if (presence === chosen && before) return undo();
    setBefore(undefined);
    void notebook.write(presence === chosen ? "expected" : chosen, { candidate });
  }
  function takeOut() {
    if (!asked) return;
    setBefore(presence === "checked-in" ? "checked-in" : "expected");
    setAsked(undefined);
    void notebook.write(asked, { candidate }).then(({ id }) => setTakenOut(id));
  }
  function undo() {
    setBefore(undefined);
    void notebook.write(before ?? "checked-in", { candidate });
  }
  return (
    <li className={css.line} data-shown={shownOf(row)}>
      <b className={css.number}>{number}</b>
      <div className={css.who}>
        <span className={css.name}>
          {given} <span>{family}</span>
        </span>
        {belt && <Belt belt={belt} />}
      </div>
      <span className={css.place} data-none={place ? undefined : ""}>
        {place ? say("place", place) : say("no-place")}
      </span>
      {presence === "withdrawn" ? (
        <em className={css.withdrawn}>{say("withdrawn")}</em>
      ) : (
        <div className={css.keys}>
          {choices.map(({ presence: choice, word }) => (
            <Key
              key={choice}
              kind={choice === "checked-in" ? "firm" : "plain"}
              pressed={presence === choice}
              disabled={isClosed}
              aria-label={say(`${word}-named`, { number, given })}
              title={presence === choice ? say("again") : undefined}
              onClick={() => choose(choice)}
            >
              {say(word)}
            </Key>
          ))}
        </div>
      )}
      {isOut && before && !isClosed && (
        <p className={css.told}>
          {say(isTold ? "told" : "told-not-yet")}{" "}
          <Key kind="firm" aria-label={say("undo-named", { number, given })} onClick={undo}>
            {say("undo")}
          </Key>
        </p>
      )}
      {asked && (
        <AskFirst
          title={say("out-title", { number, given })}
          yes={say(`out-${asked}`)}
          no={say("out-keep")}
          kind="seal"
          onYes={takeOut}
          onNo={() => setAsked(undefined)}
        >
          <p>
            {say(notebook.book.decisions.verdict(candidate) ? "out-text-verdict" : "out-text", {
              given,
            })}
          </p>
        </AskFirst>
      )}
      {presence === "unfit" && !isClosed && <UnfitWord candidate={candidate} notebook={notebook} />}
    </li>
  );
}

/** An optional word beside “not fit”: kept where only chief and desk read it, and erased with the person's data. */
function UnfitWord({
  candidate,
  notebook,
}: {
  candidate: DeskRow["candidate"];
  notebook: Notebook;
}) {
  const say = useSay(deskWords);
  const makeSide = useSideRecords();
  const [text, setText] = useState("");
  const [isKept, setKept] = useState(false);

  async function keep() {
    const read = FreeText.safeParse({ text });
    if (!read.success) return;
    const { ref, record } = makeSide(candidate, "health", read.data);
    await notebook.write("unfit", { candidate, details: ref }, { sides: [record] });
    setKept(true);
  }
  return (
    <form
      className={css.word}
      onSubmit={(event) => {
        event.preventDefault();
        void keep();
      }}
    >
      <TextField
        label={say("word")}
        hint={say("word-hint")}
        value={text}
        maxLength={500}
        onChange={(value) => {
          setText(value);
          setKept(false);
        }}
      />
      <Key type="submit" disabled={text.trim() === "" || isKept}>
        {say(isKept ? "word-kept" : "word-keep")}
      </Key>
    </form>
  );
}
