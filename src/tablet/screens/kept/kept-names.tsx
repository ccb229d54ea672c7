import { useState } from "react";
import { retention } from "../../../belt-test/scorebook/retention.ts";
import type { PersonId } from "../../../book/identity.ts";
import { longDay } from "../../../words/dates.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./kept.module.css";
import { namesKept } from "./names-kept.ts";

/**
 * Everybody of whom this belt test keeps a name or a text, and what makes it forget.
 * @param props  `months` they are kept, where that is known; `warns` where no hub does.
 */
export function KeptNames({
  months,
  warns = false,
}: {
  months: number | undefined;
  warns?: boolean;
}) {
  const notebook = useNotebook();
  const say = useSay(keptWords);
  const [asked, setAsked] = useState<{ name: string | null; abouts: readonly string[] }>();
  const { book } = notebook;
  const people = namesKept(notebook);
  const date = book.plan.opened?.date;
  const today = new Date(notebook.nowMs()).toISOString().slice(0, 10);
  const its = date && months !== undefined ? retention(date, months, today) : undefined;
  const erase = async () => {
    for (const about of asked?.abouts ?? [])
      await notebook.write("erased", { about: about as PersonId });
    setAsked(undefined);
  };
  return (
    <section aria-labelledby="names">
      <h2 id="names">{say("names")}</h2>
      {warns && its && its.state !== "kept" && people.length > 0 && (
        <Notice>{say("names-soon", { due: longDay(its.due, say.locale) })}</Notice>
      )}
      <p>{say("names-text")}</p>
      {date && its && (
        <p className="quiet">
          {say("names-due", { day: longDay(date, say.locale), due: longDay(its.due, say.locale) })}
        </p>
      )}
      {people.length === 0 ? (
        <p>{say("names-gone")}</p>
      ) : (
        <>
          <ul className={css.people}>
            {people.map(({ about, number, name, records }) => (
              <li key={about}>
                <span>
                  <b>{number}</b> {name || say("nameless")}
                </span>
                <span className="quiet">{say("records", { count: records })}</span>
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
        <p>{say("erase-text", { when: whenHubHears(notebook) })}</p>
        <p>{say("erase-copies")}</p>
        {!book.plan.isClosed && <Notice kind="urgent">{say("erase-open")}</Notice>}
      </Dialog>
    </section>
  );
}

/** When the hub hears of an erasing: with what waits for files to be there, when it is in reach again, or now. */
function whenHubHears({ pass, link }: Notebook): "files" | "away" | "now" {
  if (pass.fromFiles) return "files";
  return pass.token !== undefined && link !== "live" ? "away" : "now";
}
