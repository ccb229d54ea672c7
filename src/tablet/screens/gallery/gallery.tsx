import { useEffect } from "react";
import { wearLook } from "../../look/theme.ts";
import { judgeScenes } from "./judge-scenes.ts";
import { JudgeView } from "./judge-view.tsx";
import { PartsPage } from "./parts-page.tsx";

/** The development gallery: every part in its states, and each scene of the judge's board at `?scene=…&theme=day|dark&text=large`. */
export function Gallery({ search }: { search: URLSearchParams }) {
  const theme = search.get("theme");
  const text = search.get("text");
  useEffect(() => {
    wearLook(document.documentElement, {
      theme: theme === "day" || theme === "dark" ? theme : "hall",
      text: text === "large" ? "large" : "usual",
    });
  }, [theme, text]);
  const scene = judgeScenes[search.get("scene") ?? ""];
  return scene ? <JudgeView {...scene} /> : <PartsPage scenes={Object.keys(judgeScenes)} />;
}
