import { letIns } from "../../../belt-test/scorebook/let-ins.ts";
import type { PersonId } from "../../../book/identity.ts";
import { clockTime } from "../../../words/dates.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";

/** Who came in on a further tablet, when, and at whose word: oldest first. Nothing where nobody did. */
export function KeptLetIns() {
  const notebook = useNotebook();
  const say = useSay(keptWords);
  const all = letIns(notebook.book);
  if (all.length === 0) return null;
  const nameOf = (person: PersonId) => personName(notebook, person) ?? say("somebody");
  return (
    <section aria-labelledby="let-ins">
      <h2 id="let-ins">{say("let-ins")}</h2>
      <ul>
        {all.map(({ id, person, decidedBy, at, agreed }) => (
          <li key={id}>
            {say("let-in", {
              name: nameOf(person),
              time: clockTime(at, say.locale),
              by: nameOf(decidedBy),
              agreed: String(agreed),
            })}
          </li>
        ))}
      </ul>
    </section>
  );
}
