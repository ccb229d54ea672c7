import { useState } from "react";
import { testPack } from "../../../belt-test/scorebook/test-pack.ts";
import type { FaultCode } from "../../../book/faults.ts";
import { sealedPack, spokenSum } from "../../../line/sealed-pack.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { fileWord, saveFile } from "../../parts/save-file.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import { type Returned, readReturned, takeReturned } from "./returned-file.ts";

/** The plan out as a test pack, and the tablets' scorebooks back in: shown first, then taken. */
export function FilesWithoutHub({ notebook }: { notebook: Notebook }) {
  const say = useSay(setUpWords);
  const sayFault = useSayFault();
  const [saved, setSaved] = useState<{ file: string; sum: string }>();
  const [returned, setReturned] = useState<Returned[]>([]);
  const [took, setTook] = useState<string[]>([]);
  const [wrong, setWrong] = useState<string[]>([]);
  const nameOf = ({ person }: Returned) => personName(notebook, person) ?? say("somebody");

  function save() {
    const name = `${fileWord(notebook.book.plan.opened?.title ?? "")}.test-pack.json`;
    const pack = sealedPack(testPack(notebook.book, notebook.sides.values()));
    saveFile(name, JSON.stringify(pack));
    setSaved({ file: name, sum: spokenSum(pack.sum) });
  }
  function read(file: string, text: string) {
    const answer = readReturned(notebook, file, text);
    if (answer.ok)
      setReturned((all) => [...all.filter((one) => one.file !== file), answer.returned]);
    else setWrong((all) => [...all, say(answer.problem, { file })]);
  }
  async function take(one: Returned) {
    try {
      await takeReturned(notebook, one);
    } catch (error) {
      setWrong((all) => [...all, say("back-keep-fault", { reason: String(error) })]);
      return;
    }
    setReturned((all) => all.filter((other) => other !== one));
    setTook((all) => [...all, say("back-took", { name: nameOf(one), count: one.taken.length })]);
  }

  return (
    <section className="set-up-files">
      <h3>{say("files-title")}</h3>
      <p className="set-up-hint">{say("pack-text")}</p>
      <div className="set-up-keys">
        <Key onClick={save}>{say("pack-save")}</Key>
        {saved && <span role="status">{say("pack-saved", saved)}</span>}
      </div>
      <p className="set-up-hint">{say("back-text")}</p>
      <FileKey
        accept=".json,application/json"
        several
        onFile={(file, text) => {
          setWrong([]);
          read(file, text);
        }}
      >
        {say("back-choose")}
      </FileKey>
      {wrong.map((words) => (
        <Notice key={words} kind="urgent">
          {words}
        </Notice>
      ))}
      {took.map((words) => (
        <Notice key={words} kind="done">
          {words}
        </Notice>
      ))}
      {returned.map((one) => (
        <Notice
          key={one.file}
          title={say("back-preview", { file: one.file, name: nameOf(one) })}
          keys={
            one.taken.length > 0 && (
              <Key kind="ink" onClick={() => void take(one)}>
                {say("back-take", { count: one.taken.length })}
              </Key>
            )
          }
        >
          {say("back-what", { count: one.taken.length, refused: one.refused.length })}{" "}
          {byReason(one.refused).map(([code, places]) => (
            <span key={code} className="set-up-refused">
              {say("back-refused", {
                count: places.length,
                places: places.map((place) => place + 1).join(", "),
                why: sayFault({ code: code as FaultCode }),
              })}
            </span>
          ))}
        </Notice>
      ))}
    </section>
  );
}

function byReason(refused: Returned["refused"]): [string, number[]][] {
  const reasons = new Map<string, number[]>();
  for (const { index, code } of refused) reasons.set(code, [...(reasons.get(code) ?? []), index]);
  return [...reasons];
}
