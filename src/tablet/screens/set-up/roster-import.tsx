import { useState } from "react";
import { type Roster, type RosterCandidate, rosterOf } from "../../../belt-test/planning/roster.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { saveFile } from "../../parts/save-file.ts";
import { useSay } from "../../parts/use-say.ts";
import css from "./set-up.module.css";

const SHOWN = 12;
/** So many faults are named; whoever mends them sees whether more are left. */
const NAMED = 40;

/** A list of candidates from a CSV file: read whole, shown, and taken only by a key; or every wrong line named. */
export function RosterImport({
  known,
  onTake,
}: {
  known: { rubrics: readonly string[]; taken: readonly number[]; latestYear: number };
  onTake: (rows: RosterCandidate[]) => void;
}) {
  const say = useSay(setUpWords);
  const [read, setRead] = useState<{ file: string; rows: string[][] }>();
  const [unreadable, setUnreadable] = useState<string>();
  // Computed again when the book grows: a number may have been taken meanwhile.
  const roster: Roster | undefined = read && rosterOf(read.rows, known);

  async function parse(file: string, text: string) {
    if (/^\s*[{[]/.test(text)) {
      setUnreadable(say("csv-is-json", { file }));
      setRead(undefined);
      return;
    }
    const { default: papa } = await import("papaparse");
    const { data, errors } = papa.parse<string[]>(text, { header: false, skipEmptyLines: false });
    const broken = errors.find(({ type }) => type === "Quotes");
    setUnreadable(broken && say("csv-unreadable", { file, reason: broken.message }));
    setRead(broken ? undefined : { file, rows: data });
  }

  return (
    <section>
      <h3>{say("import-title")}</h3>
      <p className={css.hint}>{say("import-text")}</p>
      <p className={css.hint}>{say("import-ids", { ids: known.rubrics.join(", ") })}</p>
      <div className={css.keys}>
        <FileKey accept=".csv,text/csv" onFile={(file, text) => void parse(file, text)}>
          {say("import-choose")}
        </FileKey>
        <Key
          kind="quiet"
          onClick={() =>
            saveFile(
              "candidates.csv",
              `number,given,family,rubric,birth-year,sounds\r\n1,Anya,Example,${known.rubrics[0] ?? ""},2014,AH-nya\r\n`,
              "text/csv",
            )
          }
        >
          {say("import-sample")}
        </Key>
      </div>
      {unreadable && <Notice kind="urgent">{unreadable}</Notice>}
      {read && roster?.ok && (
        <>
          <Notice
            keys={
              <Key
                kind="ink"
                onClick={() => {
                  setRead(undefined);
                  onTake(roster.candidates);
                }}
              >
                {say("import-take", { count: roster.candidates.length })}
              </Key>
            }
          >
            {say("import-preview", { file: read.file, count: roster.candidates.length })}
          </Notice>
          <ol className={css.preview}>
            {roster.candidates.slice(0, SHOWN).map(({ number, given, family, rubric }) => (
              <li key={number}>
                <b>{number}</b> {given} {family} <small>{rubric}</small>
              </li>
            ))}
            {roster.candidates.length > SHOWN && (
              <li>{say("import-more", { count: roster.candidates.length - SHOWN })}</li>
            )}
          </ol>
        </>
      )}
      {read && roster && !roster.ok && (
        <>
          <Notice kind="urgent">
            {say("import-bad", { file: read.file, count: roster.problems.length })}
          </Notice>
          <ul className={css.findings}>
            {roster.problems
              .slice(0, NAMED)
              .map(({ code, line, column, value = "", other = 0 }) => (
                <li key={`${line} ${column} ${code}`}>
                  <code>
                    {column === undefined
                      ? say("import-line", { line })
                      : say("import-column", { line, column })}
                  </code>
                  <span>{say(`roster-${code}`, { value, other, column: column ?? "" })}</span>
                </li>
              ))}
            {roster.problems.length > NAMED && (
              <li>{say("import-more", { count: roster.problems.length - NAMED })}</li>
            )}
          </ul>
        </>
      )}
    </section>
  );
}
