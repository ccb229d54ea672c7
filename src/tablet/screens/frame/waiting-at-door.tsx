import { lazy, Suspense, useEffect, useState } from "react";
import { Link } from "react-router";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import waitingWords from "../../../words/en/waiting-at-door.json" with { type: "json" };
import { keyLook } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import css from "./waiting-at-door.module.css";

// Out of a judge's first script: most tablets never need it.
const PlainLine = lazy(async () => ({
  default: (await import("../../session/plain-line.tsx")).PlainLine,
}));

const ASK_EVERY_MS = 1500;

/** Before the chief has let this device in. Asks the hub until it has an answer, then starts the session anew with it. */
export function WaitingAtDoor() {
  const { pass } = useNotebook();
  const { hub, store, closeSession } = useServices();
  const say = useSay(waitingWords);
  const sayFrame = useSay(frameWords);
  const [isRefused, setRefused] = useState(false);

  useEffect(() => {
    if (!pass.token) return;
    const { token } = pass;
    let timer: ReturnType<typeof setTimeout>;
    const ask = async () => {
      const answer = await hub.me(token);
      if (answer.ok && answer.state === "admitted" && answer.person) {
        await store.keepPass({ ...pass, person: answer.person, roles: answer.roles ?? [] });
        closeSession(pass.grading);
        location.reload();
        return;
      }
      setRefused(
        answer.ok
          ? answer.state === "refused" || answer.state === "revoked"
          : answer.fault.code === "TOKEN_WRONG",
      );
      timer = setTimeout(ask, ASK_EVERY_MS);
    };
    void ask();
    return () => clearTimeout(timer);
  }, [pass, hub, store, closeSession]);

  return (
    <main className="plain-page" aria-live="polite">
      <h1>{say(isRefused ? "refused-title" : "waiting-title")}</h1>
      <p className={css.name}>{pass.name}</p>
      <p>{say(isRefused ? "refused-text" : "waiting-text")}</p>
      <Suspense>{!window.isSecureContext && <PlainLine />}</Suspense>
      <Link {...keyLook} to="/">
        {sayFrame("to-start")}
      </Link>
    </main>
  );
}
