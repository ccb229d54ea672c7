import { Link } from "react-router";
import notOpenWords from "../../../words/en/not-open.json" with { type: "json" };
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import css from "./session-frame.module.css";

/** The key that opens the test may be forgotten; whoever calls or marks goes on all the same, and the chief is told. */
export function NotOpenStrip() {
  const say = useSay(notOpenWords);
  const { pass } = useNotebook();
  return (
    <p className={`${css.strip} not-on-paper`} role="status">
      {pass.roles.includes("chief") ? (
        <>
          {say("strip-chief")}{" "}
          <Link to={`${pageAddress(pass.grading, "set-up")}?step=ready`}>{say("to-ready")}</Link>
        </>
      ) : (
        say("strip")
      )}
    </p>
  );
}
