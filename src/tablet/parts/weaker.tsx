import trustWords from "../../words/en/trust.json" with { type: "json" };
import { useSay } from "./use-say.ts";
import css from "./weaker.module.css";

/** What a tablet without an encrypted line has to do without. */
export function Weaker() {
  const say = useSay(trustWords);
  return (
    <ul className={css.root}>
      {(["start", "read", "dark", "clear"] as const).map((what) => (
        <li key={what}>{say(`weaker-${what}`)}</li>
      ))}
    </ul>
  );
}
