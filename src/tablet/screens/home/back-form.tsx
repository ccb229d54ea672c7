import { useState } from "react";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { FileKey } from "../../parts/file-key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import type { ChiefKey } from "../../session/chief-key.ts";
import { useServices } from "../../session/services.tsx";
import { ChiefForm } from "./chief-form.tsx";
import css from "./home.module.css";

/** The chief at a new machine, minutes before a test: a copy of the old hub, and then the new key. */
export function BackForm({
  chiefKey,
  onClaimed,
}: {
  chiefKey: ChiefKey;
  onClaimed: (key: ChiefKey) => void;
}) {
  const { hub } = useServices();
  const say = useSay(homeWords);
  const sayFault = useSayFault();
  const [state, setState] = useState<"choosing" | "sending" | { begun: string }>("choosing");
  const [wrong, setWrong] = useState<string>();

  async function send(file: File) {
    setState("sending");
    setWrong(undefined);
    const answer = await hub.bringBack(chiefKey.token, file);
    if (answer.ok) setState({ begun: say("back-begun", answer) });
    else {
      setState("choosing");
      setWrong(sayFault(answer.fault));
    }
  }

  if (typeof state === "object")
    return (
      <>
        <Notice kind="done">{state.begun}</Notice>
        <ChiefForm onClaimed={onClaimed} />
      </>
    );
  return (
    <div className={css.form}>
      {state === "sending" ? (
        <p role="status">{say("back-sending")}</p>
      ) : (
        <FileKey
          accept=".sqlite,application/vnd.sqlite3"
          kind="ink"
          onWhole={(file) => void send(file)}
        >
          {say("back-choose")}
        </FileKey>
      )}
      {wrong && <Notice kind="urgent">{wrong}</Notice>}
    </div>
  );
}
