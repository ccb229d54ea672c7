import { useState } from "react";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { saveScorebook } from "../../session/save-scorebook.ts";
import { useServices } from "../../session/services.tsx";
import type { GradingHere } from "./gradings-here.ts";

/** Asks before a grading leaves this device. What no hub has is saved as a file first: until then there is no key to remove it. */
export function RemoveDialog({
  grading: { pass, title, state, unsent },
  onClose,
  onRemoved,
}: {
  grading: GradingHere;
  onClose: () => void;
  onRemoved: () => void;
}) {
  const { store, closeSession } = useServices();
  const say = useSay(homeWords);
  const [saved, setSaved] = useState<string>();
  const isSafe = unsent === 0 || saved !== undefined;

  async function remove() {
    closeSession(pass.grading);
    await store.forget(pass.grading);
    onRemoved();
  }

  return (
    <Dialog
      open
      title={say("remove-title")}
      closeWord={say("keep")}
      onClose={onClose}
      keys={
        isSafe ? (
          <Key kind="firm" onClick={() => void remove()}>
            {say("remove-now")}
          </Key>
        ) : (
          <Key kind="ink" onClick={() => void saveScorebook(store, { pass, title }).then(setSaved)}>
            {say("save-file")}
          </Key>
        )
      }
    >
      <p>
        <strong>{title || say("untitled")}</strong>
      </p>
      <p role="status">
        {saved !== undefined
          ? say("remove-saved", { file: saved })
          : unsent > 0
            ? say("remove-unsent", { count: unsent })
            : say(state === "waiting" ? "remove-waiting" : "remove-safe")}
      </p>
    </Dialog>
  );
}
