import { useState } from "react";
import { Dialog } from "../../parts/dialog.tsx";
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { Progress } from "../../parts/progress.tsx";
import css from "./parts-page.module.css";

/** Notices, progress, dialog, empty place. */
export function SayingScenes() {
  const [open, setOpen] = useState(false);
  return (
    <>
      <Notice title="A new version is ready">It waits until no child stands before you.</Notice>
      <Notice kind="done" title="Section locked" keys={<Key>Show it</Key>}>
        Basics of wave 2, all marked.
      </Notice>
      <Notice kind="quiet">Nothing has changed since 10:12.</Notice>
      <Notice kind="urgent" title="Stop. Someone is hurt." keys={<Key>Seen</Key>}>
        Called by Okafor. Follow your hall's own rules and its first-aider.
      </Notice>
      <Progress what="Reading candidates" done={9} total={24} />
      <Progress what="Looking for the hub" done={0} />
      <EmptyState title="No wave is called yet" keys={<Key kind="ink">Make waves</Key>}>
        The chief examiner makes waves; the caller opens the first.
      </EmptyState>
      <div className={css.partsRow}>
        <Key onClick={() => setOpen(true)}>Open a dialog</Key>
      </div>
      <Dialog
        open={open}
        title="Lock basics of wave 2?"
        closeWord="Not yet"
        onClose={() => setOpen(false)}
        keys={
          <Key kind="seal" onClick={() => setOpen(false)}>
            Lock
          </Key>
        }
      >
        <p>Two cells are blank. After all have locked, marks are opened to the panel.</p>
      </Dialog>
    </>
  );
}
