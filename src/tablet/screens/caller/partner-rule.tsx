import callerWords from "../../../words/en/caller.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import css from "./caller-screen.module.css";

/** Shown before the first call in which two people touch; nothing goes on until it has been said. */
export function PartnerRule({ onSaid }: { onSaid: () => void }) {
  const say = useSay(callerWords);
  return (
    <section className={css.partnerRule}>
      <div>
        <h2>{say("partner-rule")}</h2>
        <p>{say("partner-rule-more")}</p>
      </div>
      <Key kind="seal" onClick={onSaid}>
        {say("partner-said")}
      </Key>
    </section>
  );
}
