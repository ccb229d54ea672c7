import { useEffect } from "react";
import { keepAges } from "../../session/keep-ages.ts";
import { useServices, useSession } from "../../session/services.tsx";

/** What was written together comes together; and whoever enters a child excuses it. */
const SETTLES_MS = 1500;

/** On a chief's device: years, rubrics and the day may come from several hands that do not know of each other, and here they meet. */
export function KeptAges() {
  const services = useServices();
  const { notebook } = useSession();
  useEffect(() => {
    let timer: ReturnType<typeof setTimeout> | undefined;
    const settle = () => {
      timer ??= setTimeout(() => {
        timer = undefined;
        void keepAges(notebook, services);
      }, SETTLES_MS);
    };
    settle();
    const leave = notebook.subscribe(settle);
    return () => {
      leave();
      clearTimeout(timer);
    };
  }, [notebook, services]);
  return null;
}
