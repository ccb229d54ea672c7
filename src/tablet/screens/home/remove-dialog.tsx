import { useState } from "react";
import { scorebookFile } from "../../../core/scorebook/scorebook-file.ts";
import { homeWords } from "../../../words/home-words.ts";
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { fileWord, saveFile } from "../../parts/save-file.ts";
import { useSay } from "../../parts/use-say.ts";
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

  async function save() {
    const [rows, sides] = await Promise.all([
      store.read(pass.grading, 0),
      store.sides(pass.grading),
    ]);
    const name = `${fileWord(title)}-${fileWord(pass.name)}.scorebook.json`;
    const entries = rows.map(({ entry }) => entry);
    saveFile(
      name,
      JSON.stringify(
        scorebookFile(pass.grading, entries, sides, pass.person, { heads: pass.heads }),
      ),
    );
    setSaved(name);
  }
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
          <Key kind="ink" onClick={() => void save()}>
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
