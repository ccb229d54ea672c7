import { useState } from "react";
import type { Fault } from "../../book/faults.ts";
import type { NamesKept } from "../../line/doors.ts";
import { dayAt, longDay } from "../../words/dates.ts";
import keptWords from "../../words/en/kept.json" with { type: "json" };
import { Dialog } from "../parts/dialog.tsx";
import { Key } from "../parts/key.tsx";
import { Notice } from "../parts/notice.tsx";
import { useSay } from "../parts/use-say.ts";
import { useSayFault } from "../parts/use-say-fault.ts";
import css from "./names-due.module.css";
import { useServices } from "./services.tsx";

interface NamesDueProps {
  token: string;
  kept: NamesKept;
  /** The hub has forgotten a whole test's names. */
  onErased: () => void;
}
type Asked = NamesKept["tests"][number] & {
  counted: { people: number; records: number } | undefined;
};

/** Whose names are due to go, test by test, and the key that erases them after it has said what goes. */
export function NamesDue({ token, kept: { rule, tests }, onErased }: NamesDueProps) {
  const { hub } = useServices();
  const say = useSay(keptWords);
  const sayFault = useSayFault();
  const [asked, setAsked] = useState<Asked>();
  const [done, setDone] = useState<{ title: string; people: number }>();
  const [fault, setFault] = useState<Fault>();

  async function count(test: NamesKept["tests"][number]) {
    setFault(undefined);
    setAsked({ ...test, counted: undefined });
    const answer = await hub.eraseNames(token, test.grading, true);
    setAsked(answer.ok ? { ...test, counted: answer } : undefined);
    if (!answer.ok) setFault(answer.fault);
  }
  async function erase({ grading, title }: Asked) {
    setAsked(undefined);
    const answer = await hub.eraseNames(token, grading, false);
    if (!answer.ok) return setFault(answer.fault);
    setDone({ title, people: answer.people });
    onErased();
  }

  return (
    <div className={css.root} data-part="names-due">
      {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}
      {done && <Notice kind="done">{say("due-done", done)}</Notice>}
      {tests.length > 0 && (
        <section className={css.tests} aria-labelledby="names-due">
          <h2 id="names-due">{say("due-title", { count: tests.length })}</h2>
          <p>{say("due-why", { months: rule.months })}</p>
          <ul>
            {tests.map((test) => {
              const { grading, title, date, due, state, people, goesFromMs } = test;
              return (
                <li key={grading}>
                  <p>
                    {say("due-test", {
                      state,
                      title,
                      people,
                      day: longDay(date, say.locale),
                      due: longDay(due, say.locale),
                    })}{" "}
                    {goesFromMs === null
                      ? say("due-stays")
                      : say("due-goes", { day: dayAt(goesFromMs, say.locale) })}
                  </p>
                  <Key
                    aria-label={say("due-erase-named", { title })}
                    onClick={() => void count(test)}
                  >
                    {say("due-erase")}
                  </Key>
                </li>
              );
            })}
          </ul>
        </section>
      )}
      <Dialog
        open={asked !== undefined}
        title={say("due-ask-title", { title: asked?.title ?? "" })}
        onClose={() => setAsked(undefined)}
        keys={
          asked?.counted && (
            <Key kind="firm" onClick={() => void erase(asked)}>
              {say("erase-do")}
            </Key>
          )
        }
      >
        <p>{asked?.counted ? say("due-ask", asked.counted) : say("due-counting")}</p>
        <p>{say("erase-text", { when: "now" })}</p>
        <p>{say("erase-copies")}</p>
      </Dialog>
    </div>
  );
}
