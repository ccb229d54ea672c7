import { useState } from "react";
import type { PersonId } from "../../../core/identity.ts";
import { areNamesDueSoon, namesDue } from "../../../core/scorebook/retention.ts";
import { longDay } from "../../../words/dates.ts";
import { keptWords } from "../../../words/kept-words.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import { namesKept } from "./names-kept.ts";

/** Everybody of whom this belt test keeps a name or a text, and what makes it forget. */
export function KeptNames() {
  const notebook = useNotebook();
  const say = useSay(keptWords);
  const [asked, setAsked] = useState<{ name: string | null; abouts: readonly string[] }>();
  const { book } = notebook;
  const people = namesKept(notebook);
  const date = book.opened?.date;
  const isSoon = date !== undefined && areNamesDueSoon(date, notebook.nowMs());
  const erase = async () => {
    for (const about of asked?.abouts ?? [])
      await notebook.write("erased", { about: about as PersonId });
    setAsked(undefined);
  };
  return (
    <section aria-labelledby="names">
      <h2 id="names">{say("names")}</h2>
      {isSoon && people.length > 0 && (
        <Notice>{say("names-soon", { due: longDay(namesDue(date)) })}</Notice>
      )}
      <p>{say("names-text")}</p>
      {date && (
        <p className="kept-quiet">
          {say("names-due", { day: longDay(date), due: longDay(namesDue(date)) })}
        </p>
      )}
      {people.length === 0 ? (
        <p>{say("names-gone")}</p>
      ) : (
        <>
          <ul className="kept-people">
            {people.map(({ about, number, name, records }) => (
              <li key={about}>
                <span>
                  <b>{number}</b> {name || say("nameless")}
                </span>
                <span className="kept-quiet">{say("records", { count: records })}</span>
                <Key
                  kind="quiet"
                  aria-label={say("erase-named", { name: name || `${number ?? about}` })}
                  onClick={() => setAsked({ name: name || `${number ?? about}`, abouts: [about] })}
                >
                  {say("erase")}
                </Key>
              </li>
            ))}
          </ul>
          <Key
            kind="firm"
            onClick={() => setAsked({ name: null, abouts: people.map(({ about }) => about) })}
          >
            {say("erase-all")}
          </Key>
        </>
      )}
      <Dialog
        open={asked !== undefined}
        title={
          asked?.name == null ? say("erase-all-title") : say("erase-title", { name: asked.name })
        }
        onClose={() => setAsked(undefined)}
        keys={
          <Key kind="firm" onClick={() => void erase()}>
            {say("erase-do")}
          </Key>
        }
      >
        <p>{say("erase-text")}</p>
        <p>{say("erase-copies")}</p>
        {!book.isClosed && <Notice kind="urgent">{say("erase-open")}</Notice>}
      </Dialog>
    </section>
  );
}
