import { useState } from "react";
import filesWords from "../../../words/en/files-wait.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
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
      <Dialog
        open={isAsking}
        title={say("ask-title")}
        closeWord={say("wait-on")}
        onClose={() => setAsking(false)}
        keys={
          <Key
            kind="firm"
            onClick={() => {
              setAsking(false);
              void handInAllTheSame(notebook);
            }}
          >
            {say("hand-in")}
          </Key>
        }
      >
        <p>{say("ask-text", { missing: fromFiles.of - fromFiles.said })}</p>
      </Dialog>
    </div>
  );
}
