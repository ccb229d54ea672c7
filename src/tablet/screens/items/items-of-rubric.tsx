import {
  ENOUGH_CLASS,
  type ItemFigures,
  type RubricReport,
} from "../../../belt-test/items/item-report.ts";
import { itemOf, sectionOf } from "../../../belt-test/rubric/lookup.ts";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import itemsWords from "../../../words/en/items.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import css from "./items.module.css";
import { ItemsMarks } from "./items-marks.tsx";

/** A correlation with the rest below this says little of anybody: common practice, no source. */
const TELLS = 0.2;

/** One rank's techniques: first what most missed, then all of them, then where the judges' words draw the line. */
export function ItemsOfRubric({ rubric, report }: { rubric: Rubric; report: RubricReport }) {
  const say = useSay(itemsWords);
  const { candidates, items, missed } = report;
  const meetsLevel = rubric.scale.levels[rubric.scale.meetsLevel - 1];
  const meets = meetsLevel?.title ?? "";
  const titleOf = ({ section: at, item: id }: ItemFigures): string => {
    const section = sectionOf(rubric, at);
    if (!section) return at;
    return id === null
      ? say("once", { section: section.title })
      : (itemOf(section, id)?.title ?? id);
  };
  const everything = say("all-of", { title: rubric.title });
  const below = (one: ItemFigures) => Math.round(one.missed * one.candidates);
  // Where no technique can be told from the rest, as in a small class, there is no such column.
  const canTell = items.some(({ reason }) => reason === undefined || reason === "all-equal");
  const tells = ({ discrimination, reason = "too-few" }: ItemFigures): string => {
    if (discrimination === null) return say(`tells-${reason}`);
    if (discrimination < 0) return say("tells-against");
    return say(discrimination < TELLS ? "tells-little" : "tells-yes");
  };
  const half = items.filter(
    (one) => one.missed > 0.5 && one.candidates >= ENOUGH_CLASS && !missed.includes(one),
  );
  const lines = (some: readonly ItemFigures[]) => (
    <ul>
      {some.map((one) => (
        <li key={`${one.section}/${one.item}`}>
          {say("missed-line", {
            item: titleOf(one),
            below: below(one),
            candidates: one.candidates,
            meets,
          })}
        </li>
      ))}
    </ul>
  );
  return (
    <section className={css.rubric} aria-label={rubric.title}>
      <h2>{say("rubric", { title: rubric.title, candidates })}</h2>
      <h3>{say("missed")}</h3>
      {missed.length > 0 ? (
        <>
          <p>{say("missed-most")}</p>
          {lines(missed)}
        </>
      ) : (
        <p>{candidates < ENOUGH_CLASS ? say("missed-few", { candidates }) : say("missed-none")}</p>
      )}
      {half.length > 0 && (
        <>
          <p>{say("missed-half")}</p>
          {lines(half)}
        </>
      )}
      <details>
        <summary>{say("all")}</summary>
        <p className={css.quiet}>{say("all-about", { meets, points: meetsLevel?.points ?? 0 })}</p>
        {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a table wider than the page is scrolled with the arrow keys. */}
        <section className={css.scroll} tabIndex={0} aria-label={everything}>
          <table>
            <thead>
              <tr>
                <th scope="col">{say("column-item")}</th>
                <th scope="col">{say("column-reached")}</th>
                <th scope="col">{say("column-missed", { meets })}</th>
                {canTell && <th scope="col">{say("column-tells")}</th>}
              </tr>
            </thead>
            <tbody>
              {items.map((one) => (
                <tr key={`${one.section}/${one.item}`}>
                  <th scope="row">{titleOf(one)}</th>
                  <td>{say("percent", { value: one.reached })}</td>
                  <td>{say("of", { below: below(one), candidates: one.candidates })}</td>
                  {canTell && <td>{tells(one)}</td>}
                </tr>
              ))}
            </tbody>
          </table>
        </section>
      </details>
      <ItemsMarks rubric={rubric} passMarks={report.passMarks} />
    </section>
  );
}
