import { Link } from "react-router";
import closedWords from "../../../words/en/closed.json" with { type: "json" };
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import waysWords from "../../../words/en/ways.json" with { type: "json" };
import { keyLook } from "../../parts/key.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";

/** In place of a screen on which something would be marked or called: the chief has closed the belt test. */
export function Closed() {
  const { outbox, link, pass, book } = useNotebook();
  const say = useSay(closedWords);
  const sayFrame = useSay(frameWords);
  const sayWay = useSay(waysWords);
  // Whoever closed it has pages that go on, and needs no thanks.
  const isChief = pass.roles.includes("chief");
  const isJudge = !isChief && pass.person !== undefined && pass.roles.includes("judge");
  const isGiven = pass.person !== undefined && book.standards.told(pass.person) !== undefined;
  return (
    <main className="plain-page" aria-live="polite">
      {isChief && <WayAround />}
      <h1>{say("title")}</h1>
      <p>{say(isChief ? "text-chief" : "text")}</p>
      {outbox.unsent > 0 && (
        <p>
          <strong>{say(link === "none" ? "file" : "unsent", { count: outbox.unsent })}</strong>
        </p>
      )}
      {isJudge && (
        <>
          <p>{say(isGiven ? "own-given" : "own-waits")}</p>
          <Link {...keyLook} to={pageAddress(pass.grading, "own")}>
            {sayWay("nav-own")}
          </Link>
        </>
      )}
      <Link {...keyLook} to="/">
        {sayFrame("to-start")}
      </Link>
    </main>
  );
}
