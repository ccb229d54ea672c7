import frameWords from "../../../words/en/frame.json" with { type: "json" };
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { useLasting } from "../../parts/use-lasting.ts";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./session-frame.module.css";

/** A page that has just opened is not yet on the hub. Milliseconds. */
const DIALS_MS = 1500;

/** Above every page while its hub is away, in the words of the judge's band: the page looks alive, and is not. */
export function HubAway() {
  const { link, pass, outbox } = useNotebook();
  const say = useSay(frameWords);
  const sayJudge = useSay(judgeWords);
  const isDialling = link === "none";
  const isLong = useLasting(isDialling, DIALS_MS);
  if (!pass.token || link === "live" || (isDialling && !isLong)) return null;
  return (
    <p className={`${css.hubAway} not-on-paper`} role="status">
      <strong>{sayJudge("heldHere", { count: outbox.unsent })}</strong>{" "}
      <span>{say("hub-away")}</span>
    </p>
  );
}
