import { useEffect } from "react";
import { loadJapanese } from "../look/japanese.ts";

/** A name in its own script; its face is fetched when the first one is shown. */
export function JapaneseName({ children }: { children: string }) {
  useEffect(() => {
    // Without the face the device's own is used: nothing is lost but looks.
    loadJapanese().catch(() => undefined);
  }, []);
  return <span lang="ja">{children}</span>;
}
