import { useMemo, useState } from "react";
import { testPack } from "../../../belt-test/scorebook/test-pack.ts";
import { deviceOf } from "../../../book/counts.ts";
import type { Fault, FaultCode } from "../../../book/faults.ts";
import { sealedPack, spokenSum } from "../../../line/sealed-pack.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { fileWord, saveFile } from "../../parts/save-file.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { keepAges } from "../../session/keep-ages.ts";
import { personName } from "../../session/names.ts";
import type { Notebook } from "../../session/notebook.ts";
import { useServices } from "../../session/services.tsx";
import {
  type Returned,
  readReturned,
  rivalOf,
  type Takeable,
  takeable,
  takeReturned,
} from "./returned-file.ts";
import css from "./set-up.module.css";

/** The plan out as a test pack, and the tablets' scorebooks back in: shown first, then taken. Where the test has a hub, they are the hub's to take. */
export function FilesWithoutHub({ notebook }: { notebook: Notebook }) {
  const say = useSay(setUpWords);
  const services = useServices();
  const [saved, setSaved] = useState<{ file: string; sum: string }>();

  async function save() {
    // Who works from the pack may hear of nothing that is said later.
    await keepAges(notebook, services);
    const name = `${fileWord(notebook.book.plan.opened?.title ?? "")}.test-pack.json`;
    const pack = sealedPack(testPack(notebook.book, notebook.sides.values()));
    saveFile(name, JSON.stringify(pack));
    setSaved({ file: name, sum: spokenSum(pack.sum) });
  }

  return (
    <section className={css.files}>
      <h3>{say("files-title")}</h3>
      <p className={css.hint}>{say("pack-text")}</p>
      {!notebook.book.plan.isStarted && !notebook.book.plan.isClosed && (
        <Notice kind="quiet">{say("pack-before-open")}</Notice>
      )}
      <div className={css.keys}>
        <Key onClick={() => void save()}>{say("pack-save")}</Key>
        {saved && <span role="status">{say("pack-saved", saved)}</span>}
      </div>
      {notebook.link === "live" ? (
        <p className={css.hint}>{say("back-hub")}</p>
      ) : (
        <FilesBack notebook={notebook} />
      )}
    </section>
  );
}

function FilesBack({ notebook }: { notebook: Notebook }) {
  const say = useSay(setUpWords);
  const [files, setFiles] = useState<Returned[]>([]);
  const [took, setTook] = useState<string[]>([]);
  const [wrong, setWrong] = useState<string[]>([]);
  const nameOf = (file: Returned) => personName(notebook, file.person) ?? say("somebody");

  async function read(file: File) {
    const { name } = file;
    const bytes = await file.arrayBuffer().catch(() => new ArrayBuffer(0));
    const answer = readReturned(notebook, name, new Uint8Array(bytes));
    if (answer.ok) setFiles((all) => [...all, answer.returned]);
    else setWrong((all) => [...all, say(answer.problem, { path: "", ...answer, file: name })]);
  }
  const leaveOut = (file: Returned) => setFiles((all) => all.filter((other) => other !== file));
  async function take(file: Returned, what: Takeable) {
    try {
      await takeReturned(notebook, what);
    } catch (error) {
      setWrong((all) => [...all, say("back-keep-fault", { reason: String(error) })]);
      return;
    }
    leaveOut(file);
    if (what.taken.length === 0) return;
    setTook((all) => [...all, say("back-took", { name: nameOf(file), count: what.taken.length })]);
  }

  return (
    <>
      <p className={css.hint}>{say("back-text")}</p>
      {notebook.pass.token && <p className={css.hint}>{say("back-hub-away")}</p>}
      <FileKey
        accept=".json,application/json"
        several
        onChosen={() => setWrong([])}
        onWhole={(file) => void read(file)}
      >
        {say("back-choose")}
      </FileKey>
      {[...new Set(wrong)].map((words) => (
        <Notice key={words} kind="urgent">
          {words}
        </Notice>
      ))}
      {[...new Set(took)].map((words) => (
        <Notice key={words} kind="done">
          {words}
        </Notice>
      ))}
      {files.map((file, at) => {
        const rival = rivalOf(notebook, files, file);
        const title = say("back-preview", { file: file.name, name: nameOf(file) });
        // Two files may bear one name.
        const key = `${file.name} ${at}`;
        return rival ? (
          <Notice
            key={key}
            kind="urgent"
            title={title}
            keys={<LeaveOut onClick={() => leaveOut(file)} />}
          >
            {say("back-one-device", { other: rival.name, name: nameOf(rival) })}
          </Notice>
        ) : (
          <OneBack
            key={key}
            notebook={notebook}
            file={file}
            title={title}
            onLeaveOut={() => leaveOut(file)}
            onTake={(what) => void take(file, what)}
          />
        );
      })}
    </>
  );
}

/** What one file would bring to the book as it stands: what another file brought meanwhile is in it. */
function OneBack({
  notebook,
  file,
  title,
  onLeaveOut,
  onTake,
}: {
  notebook: Notebook;
  file: Returned;
  title: string;
  onLeaveOut: () => void;
  onTake: (what: Takeable) => void;
}) {
  const say = useSay(setUpWords);
  const sayFault = useSayFault();
  const { size } = notebook.book;
  // biome-ignore lint/correctness/useExhaustiveDependencies: the book is one object that grows.
  const what = useMemo(() => takeable(notebook, file), [notebook, file, size]);
  const { taken, refused } = what;
  const tablets = new Set(taken.map(({ device }) => deviceOf(device))).size;
  return (
    <Notice
      title={title}
      keys={
        <>
          {taken.length > 0 && (
            <Key kind="ink" onClick={() => onTake(what)}>
              {say("back-take", { count: taken.length })}
            </Key>
          )}
          <LeaveOut
            onClick={() => {
              // What brings nothing is done with: what was refused of it was passed over.
              if (taken.length === 0) onTake(what);
              else onLeaveOut();
            }}
          />
        </>
      }
    >
      {say("back-what", { count: taken.length, refused: refused.length })}{" "}
      {tablets > 1 && <>{say("back-tablets", { tablets })} </>}
      {byReason(refused).map(({ why, places }) => (
        <span key={why.code} className={css.refused}>
          {say("back-refused", {
            count: places.length,
            places: places.map((place) => place + 1).join(", "),
            // What a fault on the line asks for, a file cannot do.
            why:
              why.code === "ENTRY_MALFORMED"
                ? say("back-unreadable", { path: String(why.with?.path || "?") })
                : sayFault(why),
          })}
        </span>
      ))}
    </Notice>
  );
}

function LeaveOut({ onClick }: { onClick: () => void }) {
  const say = useSay(setUpWords);
  return <Key onClick={onClick}>{say("back-leave-out")}</Key>;
}

/** The lines of each code together; what is said is what the first of them lacks. */
function byReason(refused: Takeable["refused"]): { why: Fault; places: number[] }[] {
  const reasons = new Map<FaultCode, { why: Fault; places: number[] }>();
  for (const { index, ...why } of refused) {
    const reason = reasons.get(why.code);
    if (reason) reason.places.push(index);
    else reasons.set(why.code, { why, places: [index] });
  }
  return [...reasons.values()];
}
