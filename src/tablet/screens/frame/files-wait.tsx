import { useState } from "react";
import filesWords from "../../../words/en/files-wait.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { handInAllTheSame, saidOfFiles } from "../../session/from-files.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./session-frame.module.css";

/** Above the chief's pages, while what was decided by files that were opened here waits for the hub to have their lines. */
export function FilesWait() {
  const notebook = useNotebook();
  const say = useSay(filesWords);
  const [isAsking, setAsking] = useState(false);
  const fromFiles = saidOfFiles(notebook);
  if (!fromFiles || notebook.link !== "live") return null;
  return (
    <div className={`${css.filesWait} not-on-paper`}>
      <Notice
        kind="urgent"
        title={say("title", fromFiles)}
        keys={<Key onClick={() => setAsking(true)}>{say("hand-in")}</Key>}
      >
        {say("text")}
      </Notice>
      {isAsking && (
        <AskFirst
          title={say("ask-title")}
          yes={say("hand-in")}
          no={say("wait-on")}
          onYes={() => {
            setAsking(false);
            void handInAllTheSame(notebook);
          }}
          onNo={() => setAsking(false)}
        >
          <p>{say("ask-text", { missing: fromFiles.of - fromFiles.said })}</p>
        </AskFirst>
      )}
    </div>
  );
}
