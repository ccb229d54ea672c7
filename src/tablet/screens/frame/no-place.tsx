import { Link } from "react-router";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import noPlaceWords from "../../../words/en/no-place.json" with { type: "json" };
import { keyLook } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";

/** A device that belongs to nobody in this belt test, or to somebody who was taken out of it. */
export function NoPlace({ isTakenOut = false }: { isTakenOut?: boolean }) {
  const say = useSay(noPlaceWords);
  const sayFrame = useSay(frameWords);
  return (
    <main className="plain-page">
      <h1>{say(isTakenOut ? "taken-out" : "no-pass")}</h1>
      <p>{say(isTakenOut ? "taken-out-next" : "no-pass-next")}</p>
      <Link {...keyLook} to="/">
        {sayFrame("to-start")}
      </Link>
    </main>
  );
}
