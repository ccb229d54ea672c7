import type { ReactNode } from "react";
import { Dialog } from "./dialog.tsx";
import { Key, type KeyKind } from "./key.tsx";

interface AskFirstProps {
  title: string;
  /** What is done, on the key that does it. */
  yes: string;
  no: string;
  kind?: KeyKind;
  onYes: () => void;
  onNo: () => void;
  children: ReactNode;
}

/** What cannot be taken back, or costs others something, is asked before it is done: what it does, one key for it and one against. */
export function AskFirst({ title, yes, no, kind = "firm", onYes, onNo, children }: AskFirstProps) {
  const key = (
    <Key kind={kind} onClick={onYes}>
      {yes}
    </Key>
  );
  return (
    <Dialog open title={title} closeWord={no} onClose={onNo} keys={key}>
      {children}
    </Dialog>
  );
}
