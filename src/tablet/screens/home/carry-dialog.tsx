import { useState } from "react";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { FileKey } from "../../parts/file-key.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { saveScorebook } from "../../session/save-scorebook.ts";
import { useServices } from "../../session/services.tsx";
import type { GradingHere } from "./gradings-here.ts";
import { takeScorebook } from "./take-scorebook.ts";

/**
 * What was written under an address that the hub has no more, or on another device of the same person, comes to the hub as a file:
 * saved there, taken in here. A browser keeps apart what was written under each address.
 */
export function CarryDialog({
  grading: { pass, title, unsent },
  onClose,
}: {
  grading: GradingHere;
  onClose: () => void;
}) {
  const { store, closeSession } = useServices();
  const say = useSay(homeWords);
  const sayFault = useSayFault();
  const [done, setDone] = useState<{ words: string; isWrong?: true }>();

  async function take(file: string, text: string) {
    // A session that is open would not know of what comes to the disk beside it.
    closeSession(pass.grading);
    try {
      const came = await takeScorebook(store, pass, text);
      setDone(
        "problem" in came
          ? { words: say(came.problem, { file }), isWrong: true }
          : {
              words: [
                say("carry-took", { file, count: came.taken }),
                ...(came.unread > 0 ? [say("carry-unread", { count: came.unread })] : []),
              ].join(" "),
            },
      );
    } catch (error) {
      failed(error);
    }
  }
  function failed(error: unknown) {
    const { fault } = error as { fault?: Parameters<typeof sayFault>[0] };
    setDone({ words: sayFault(fault ?? { code: "STORE_LOST" }), isWrong: true });
  }

  return (
    <Dialog
      open
      title={say("carry-title")}
      closeWord={say("carry-close")}
      onClose={onClose}
      keys={
        <FileKey accept=".json,application/json" onFile={(file, text) => void take(file, text)}>
          {say("carry-take")}
        </FileKey>
      }
    >
      <p>
        <strong>{title || say("untitled")}</strong>
      </p>
      <p>{say("carry-about")}</p>
      {unsent > 0 && <p>{say("carry-unsent", { count: unsent })}</p>}
      {unsent === 0 && !done && <p>{say("carry-all-sent")}</p>}
      {unsent > 0 && (
        <Key
          onClick={() =>
            void saveScorebook(store, { pass, title }).then(
              (file) => setDone({ words: say("carry-saved", { file }) }),
              failed,
            )
          }
        >
          {say("save-file")}
        </Key>
      )}
      {done && <Notice kind={done.isWrong ? "urgent" : "done"}>{done.words}</Notice>}
    </Dialog>
  );
}
