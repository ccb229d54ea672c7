import { useState } from "react";
import { afterGiving } from "../../../belt-test/scorebook/after-giving.ts";
import { mayTakeOver } from "../../../belt-test/scorebook/may-take-over.ts";
import type { PersonId } from "../../../book/identity.ts";
import boardWords from "../../../words/en/board.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { SelectField } from "../../parts/select-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { giveBack, givenToOthers } from "../../session/give-back.ts";
import { giveOver } from "../../session/held-without-hub.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";
import { workState } from "../../session/work-state.ts";
import css from "./board-screen.module.css";

/** A judge's places go to another, after a question that says what follows; and come back. */
export function BoardReplace({ judge }: { judge: PersonId }) {
  const notebook = useNotebook();
  const { book } = notebook;
  const say = useSay(boardWords);
  const [by, setBy] = useState<PersonId | "">("");
  const [isAsking, setAsking] = useState(false);
  const [done, setDone] = useState<string>();
  const nameOf = (person: PersonId) => personName(notebook, person) ?? say("somebody");
  const given = givenToOthers(notebook).filter(
    ({ from, holder }) => from === judge || holder === judge,
  );
  const others = book.plan.seats.filter(
    ({ person, roles }) =>
      roles.includes("judge") &&
      person !== judge &&
      book.panel.successor(person) === person &&
      mayTakeOver(book, judge, person, (...place) => workState(notebook, ...place) === "locked"),
  );
  const marksNobody = afterGiving(book, judge, judge).candidates.length === 0;

  function choose(person: PersonId) {
    setBy(person);
    setAsking(false);
  }
  async function give() {
    if (by === "") return;
    await giveOver(notebook, { judge, by });
    setDone(say("judge-replaced", { name: nameOf(by) }));
    setAsking(false);
    setBy("");
  }
  /** What follows, in one sentence. */
  function ask(to: PersonId): string {
    const { candidates, below, left, quorum } = afterGiving(book, judge, to);
    const all = { name: nameOf(to), judge: nameOf(judge), count: candidates.length };
    return below.length === 0
      ? say("judge-replace-ask", all)
      : say("judge-replace-ask-fewer", { ...all, below: below.length, left, quorum });
  }

  return (
    <section className={css.dialogPart}>
      <h3>{say("judge-replace")}</h3>
      {done && <Notice kind="done">{done}</Notice>}
      {given.map((one) => {
        const names = { holder: nameOf(one.holder), from: nameOf(one.from) };
        return (
          <div className={css.given} key={`${one.from}/${one.holder}`}>
            <p>{say(one.isFree ? "judge-given" : "judge-given-stays", names)}</p>
            {one.isFree && (
              <Key
                onClick={() =>
                  void giveBack(notebook, one).then(() => setDone(say("judge-given-back", names)))
                }
              >
                {say("judge-give-back", names)}
              </Key>
            )}
          </div>
        );
      })}
      {marksNobody ? (
        given.length === 0 && (
          <p className={css.quiet}>{say("judge-replace-nothing", { name: nameOf(judge) })}</p>
        )
      ) : others.length === 0 ? (
        given.length === 0 && <p className={css.quiet}>{say("judge-replace-none")}</p>
      ) : (
        <>
          <SelectField
            label={say("judge-replace-by")}
            hint={say("judge-replace-text")}
            none={say("judge-replace-choose")}
            value={by}
            options={others.map(({ person }) => ({ value: person, label: nameOf(person) }))}
            onChange={choose}
          />
          {isAsking && by !== "" ? (
            <>
              <p role="status">{ask(by)}</p>
              <div className={css.givenKeys}>
                <Key onClick={() => setAsking(false)}>{say("cancel")}</Key>
                <Key kind="ink" onClick={() => void give()}>
                  {say("judge-replace-confirm", { name: nameOf(by) })}
                </Key>
              </div>
            </>
          ) : (
            <Key aria-disabled={by === ""} onClick={() => setAsking(by !== "")}>
              {say("judge-replace")}
            </Key>
          )}
        </>
      )}
    </section>
  );
}
