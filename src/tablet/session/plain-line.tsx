import { useEffect, useState } from "react";
import deviceWords from "../../words/en/device.json" with { type: "json" };
import { keyLook } from "../parts/key.tsx";
import { useSay } from "../parts/use-say.ts";
import { Weaker } from "../parts/weaker.tsx";
import css from "./plain-line.module.css";
import { useServices } from "./services.tsx";

/** On a line that is not encrypted: what is weaker, and the way to mend it where the hub offers one. */
export function PlainLine({ code = "" }: { code?: string }) {
  const { hub } = useServices();
  const say = useSay(deviceWords);
  const [isOffered, setOffered] = useState(false);
  useEffect(() => {
    let isHere = true;
    void hub.trust().then((answer) => {
      if (isHere) setOffered(answer.ok && typeof answer.trust?.port === "number");
    });
    return () => {
      isHere = false;
    };
  }, [hub]);
  return (
    <details className={css.root}>
      <summary>{say("plain")}</summary>
      <p>{say("plain-text")}</p>
      <Weaker />
      {isOffered && (
        // A page of its own, outside the app.
        <a {...keyLook} href={`/trust${code === "" ? "" : `#${encodeURIComponent(code)}`}`}>
          {say("plain-mend")}
        </a>
      )}
    </details>
  );
}
