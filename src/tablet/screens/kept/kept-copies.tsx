import { useEffect, useState } from "react";
import type { Fault } from "../../../book/faults.ts";
import type { BackupState } from "../../../line/doors.ts";
import type { Answer } from "../../../ports/hub-desk.ts";
import { clockTime } from "../../../words/dates.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { saveBlob } from "../../parts/save-file.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { useServices } from "../../session/services.tsx";
import css from "./kept.module.css";

type Known = Answer<{ backups: BackupState | null }> | "asking";

/** The copies this hub makes of itself, one more at will, and the newest to take away. */
export function KeptCopies({ token }: { token: string }) {
  const { hub } = useServices();
  const say = useSay(keptWords);
  const sayFault = useSayFault();
  const [known, setKnown] = useState<Known>("asking");
  const [isMaking, setMaking] = useState(false);
  const [notTaken, setNotTaken] = useState<Fault>();

  useEffect(() => {
    let isCurrent = true;
    void hub.backups(token).then((answer) => isCurrent && setKnown(answer));
    return () => {
      isCurrent = false;
    };
  }, [hub, token]);

  const copyNow = async () => {
    setMaking(true);
    setKnown(await hub.backups(token, "now"));
    setMaking(false);
  };
  const takeAway = async () => {
    const answer = await hub.newestBackup(token);
    const [newest] = known !== "asking" && known.ok ? (known.backups?.kept ?? []) : [];
    if (answer.ok) saveBlob(newest?.file ?? "evenhand.sqlite", answer.file);
    setNotTaken(answer.ok ? undefined : answer.fault);
  };
  if (known === "asking") return null;
  const state = known.ok ? known.backups : undefined;
  const [newest] = state?.kept ?? [];
  return (
    <section aria-labelledby="copies">
      <h2 id="copies">{say("copies")}</h2>
      {!known.ok && <Notice>{say("copies-away")}</Notice>}
      {state === null && <p>{say("copies-off")}</p>}
      {state && (
        <>
          {state.failed && (
            <Notice
              kind="urgent"
              title={say("copies-failed", { time: clockTime(state.failed.atMs, say.locale) })}
            >
              {sayFault(state.failed.fault)}
            </Notice>
          )}
          <p>
            {newest
              ? say("copies-last", {
                  time: clockTime(newest.atMs, say.locale),
                  size: newest.bytes / 1e6,
                  count: state.kept.length,
                  folder: state.folder,
                })
              : say("copies-none")}{" "}
            {say("copies-every", { minutes: state.everyMinutes })}
          </p>
          <p className="quiet">{say("copies-place")}</p>
          {state.ahead?.with && (
            <Notice kind="urgent">{say("copies-ahead", state.ahead.with)}</Notice>
          )}
          {state.holding && <Notice>{say("copies-holding", { file: state.holding })}</Notice>}
          {state.stays && <Notice kind="urgent">{sayFault(state.stays)}</Notice>}
          {state.beside && state.beside.length > 0 && (
            <Notice>
              {say("copies-beside", {
                count: state.beside.length,
                files: state.beside.join(", "),
              })}
            </Notice>
          )}
          <div className={css.keys}>
            <Key onClick={() => void copyNow()} disabled={isMaking}>
              {say(isMaking ? "copy-making" : "copy-now")}
            </Key>
            {newest && (
              <Key kind="quiet" onClick={() => void takeAway()}>
                {say("copy-take")}
              </Key>
            )}
          </div>
          {notTaken && <Notice kind="urgent">{sayFault(notTaken)}</Notice>}
          <p className="quiet">{say("copy-closed")}</p>
          <p className="quiet">{say("copy-back")}</p>
        </>
      )}
    </section>
  );
}
