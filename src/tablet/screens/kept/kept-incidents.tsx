import { clockTime } from "../../../words/dates.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useNotebook } from "../../session/services.tsx";

/** What somebody wrote down at a stop, for the chief: newest last. Nothing where nobody did. */
export function KeptIncidents() {
  const notebook = useNotebook();
  const say = useSay(keptWords);
  const { incidents } = notebook.book.floor;
  if (incidents.length === 0) return null;
  return (
    <section aria-labelledby="incidents">
      <h2 id="incidents">{say("incidents")}</h2>
      <ul>
        {incidents.map(({ id, by, at, body }) => {
          const said = notebook.sides.get(body.text.id)?.body.text;
          const name = personName(notebook, by) ?? say("somebody");
          return (
            <li key={id}>
              {say("incident-by", { name, time: clockTime(at, say.locale) })}{" "}
              {typeof said === "string" ? said : say("incident-gone")}
            </li>
          );
        })}
      </ul>
    </section>
  );
}
