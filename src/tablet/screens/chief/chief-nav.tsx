import { NavLink } from "react-router";
import { frameWords } from "../../../words/frame-words.ts";
import { StopKey } from "../../parts/stop-key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import "./chief-nav.css";

/** The chief examiner's way around, and the stop that every role has. */
export function ChiefNav() {
  const notebook = useNotebook();
  const { book, pass } = notebook;
  const say = useSay(frameWords);
  const root = `/tests/${pass.grading}`;
  const isRunning = book.isStarted && !book.isClosed;
  return (
    <div className="chief-nav not-on-paper">
      <nav aria-label={say("nav-label")}>
        <NavLink end to={`${root}/chief`}>
          {say("nav-board")}
        </NavLink>
        <NavLink to={`${root}/sheets`}>{say("nav-sheets")}</NavLink>
        <NavLink to={`${root}/chief/door`}>{say("nav-door")}</NavLink>
        <NavLink to={`${root}/set-up`}>{say("nav-set-up")}</NavLink>
        {pass.roles.includes("judge") && <NavLink to={`${root}/judge`}>{say("nav-judge")}</NavLink>}
        {pass.roles.includes("caller") && (
          <NavLink to={`${root}/caller`}>{say("nav-caller")}</NavLink>
        )}
      </nav>
      {isRunning && (
        <StopKey
          onStop={() =>
            void notebook.write("stopped", { wave: book.currentCall?.body.wave ?? null })
          }
        />
      )}
    </div>
  );
}
