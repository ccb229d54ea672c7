import { Link } from "react-router";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { keyLook } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";

/** A page that is not there, or that broke. Says first what matters: the marks are safe. */
export function Lost({ reload = false }: { reload?: boolean }) {
  const say = useSay(frameWords);
  return (
    <main className="plain-page">
      <h1>{say("lost")}</h1>
      <p>{say("lost-next")}</p>
      <Link {...keyLook} to="/" reloadDocument={reload}>
        {say("to-start")}
      </Link>
      {/* What broke may be what the device keeps of the app. */}
      {reload && (
        <a {...keyLook} href="/fresh">
          {say("fetch-anew")}
        </a>
      )}
    </main>
  );
}
