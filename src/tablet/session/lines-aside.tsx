import troublesWords from "../../words/en/troubles.json" with { type: "json" };
import { Key } from "../parts/key.tsx";
import { useSay } from "../parts/use-say.ts";
import { useNotebook } from "./services.tsx";

/** What the hub did not take and was put aside is nowhere lost, and can be read again. */
export function LinesAside() {
  const notebook = useNotebook();
  const say = useSay(troublesWords);
  const { aside: count } = notebook.outbox;
  if (count === 0) return null;
  return (
    <p>
      {say("lines-aside", { count })}{" "}
      <Key kind="quiet" onClick={() => void notebook.putAside(false)}>
        {say("lines-aside-show", { count })}
      </Key>
    </p>
  );
}
