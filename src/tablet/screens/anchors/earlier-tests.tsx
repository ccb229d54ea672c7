import { useState } from "react";
import { isAllReleased } from "../../../belt-test/scorebook/all-released.ts";
import { SeveritiesFile } from "../../../belt-test/verdict/severities-file.ts";
import type { PersonId } from "../../../book/identity.ts";
import { severityToKeep } from "../../../ratings/anchors/kept-severity.ts";
import { longDay } from "../../../words/dates.ts";
import anchorsWords from "../../../words/en/anchors.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { CheckField } from "../../parts/check-field.tsx";
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { fileWord, saveFile } from "../../parts/save-file.ts";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { severityOfToday } from "../../session/outcomes.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./anchors.module.css";
import { type EarlierJudge, EarlierWho } from "./earlier-who.tsx";

/** What earlier tests left of the judges, taken from a file and saved to one. */
export function EarlierTests() {
  const say = useSay(anchorsWords);
  const notebook = useNotebook();
  const { book, pass } = notebook;
  const [news, setNews] = useState<{ kind: "done" | "urgent"; words: string }>();
  const [opened, setOpened] = useState<SeveritiesFile>();
  const used = book.standards.severitiesUsed;
  const judgesHere = book.plan.seats.flatMap(({ person, roles }) => {
    const name = personName(notebook, person);
    return roles.includes("judge") && name ? [{ person, name }] : [];
  });
  const nameOf = (person: PersonId) => personName(notebook, person) ?? say("somebody");
  // Today's marks alone: what was known beforehand would count twice next time.
  const { judges, found } = severityOfToday(book);

  function save() {
    if (found.kind !== "estimated") return;
    const file: SeveritiesFile = {
      format: "evenhand-severities",
      version: 1,
      grading: pass.grading,
      date: book.plan.opened?.date ?? "1970-01-01",
      judges: judges.map((judge, place) => ({
        name: nameOf(judge),
        ...severityToKeep(found, place),
      })),
    };
    saveFile(
      `${fileWord(book.plan.opened?.title ?? "")}.judges.json`,
      JSON.stringify(file, null, 1),
    );
  }
  function open(name: string, text: string) {
    setOpened(undefined);
    const file = SeveritiesFile.safeParse(asJson(text));
    if (!file.success)
      return setNews({ kind: "urgent", words: say("earlier-wrong", { file: name }) });
    if (file.data.grading === pass.grading)
      return setNews({ kind: "urgent", words: say("earlier-own") });
    setNews(undefined);
    setOpened(file.data);
  }
  async function take(
    { grading, date }: SeveritiesFile,
    taken: readonly { judge: PersonId; its: EarlierJudge }[],
  ) {
    setOpened(undefined);
    for (const { judge, its } of taken) {
      const { severity, sd } = its;
      await notebook.write("severity-kept", { judge, from: grading, date, kept: { severity, sd } });
    }
    const names = listed(
      taken.map(({ judge }) => nameOf(judge)),
      say.locale,
    );
    setNews({ kind: "done", words: say("earlier-took", { names }) });
  }
  return (
    <section aria-labelledby="earlier">
      <h2 id="earlier">{say("earlier")}</h2>
      <p>{say("earlier-text")}</p>
      {news && <Notice kind={news.kind}>{news.words}</Notice>}
      {opened && (
        <EarlierWho
          // Another file is another question.
          key={opened.grading}
          file={opened}
          judges={judgesHere}
          onTake={(taken) => void take(opened, taken)}
          onLeave={() => setOpened(undefined)}
        />
      )}
      {book.standards.keptSeverities.length === 0 ? (
        <p className="quiet">{say("earlier-none")}</p>
      ) : (
        <ul>
          {book.standards.keptSeverities.map(({ judge, from, date, kept }) => (
            <li key={`${judge}/${from}`}>
              <span>
                {say("earlier-line", {
                  name: nameOf(judge),
                  date: longDay(date, say.locale),
                  size: Math.abs(kept?.severity ?? 0),
                  side: (kept?.severity ?? 0) > 0 ? "lower" : "higher",
                  sd: kept?.sd ?? 0,
                })}
              </span>
              <Key
                kind="quiet"
                onClick={() =>
                  void notebook.write("severity-kept", { judge, from, date, kept: null })
                }
              >
                {say("earlier-forget")}
              </Key>
            </li>
          ))}
        </ul>
      )}
      <CheckField
        label={say("use-history")}
        checked={used.history}
        onChange={(history) => void notebook.write("severities-used", { ...used, history })}
      />
      <div className={css.anchorKeys}>
        <FileKey accept=".json,application/json" onFile={open}>
          {say("earlier-take")}
        </FileKey>
        {isAllReleased(book) && found.kind === "estimated" ? (
          <Key onClick={save}>{say("earlier-save")}</Key>
        ) : (
          <p className="quiet">{say("earlier-save-waits")}</p>
        )}
      </div>
    </section>
  );
}

function asJson(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}
