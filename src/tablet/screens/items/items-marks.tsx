import { type BorderlineMark, ENOUGH_CASES } from "../../../belt-test/items/borderline.ts";
import type { RubricReport } from "../../../belt-test/items/item-report.ts";
import { sectionOf } from "../../../belt-test/rubric/lookup.ts";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import itemsWords from "../../../words/en/items.json" with { type: "json" };
import { useSay } from "../../parts/use-say.ts";
import css from "./items.module.css";

/** Where overall judgements put the pass mark and the floors, folded away: advice over several tests. */
export function ItemsMarks({
  rubric,
  passMarks,
}: {
  rubric: Rubric;
  passMarks: RubricReport["passMarks"];
}) {
  const say = useSay(itemsWords);
  if (passMarks.every(({ regression }) => regression.cases === 0)) return null;
  const words = (
    by: keyof typeof ENOUGH_CASES,
    { mark, error, cases, reason }: BorderlineMark,
  ): string => {
    if (mark !== null) return say(`marks-${by}`, { mark, error: error ?? 0, cases });
    return reason === "all-equal"
      ? say("marks-equal")
      : say("marks-few", { cases, needed: ENOUGH_CASES[by] });
  };
  return (
    <details>
      <summary>{say("marks")}</summary>
      <p className={css.quiet}>{say("marks-about")}</p>
      <ul>
        {passMarks.map(({ section, now, group, regression }) => (
          <li key={section ?? ""}>
            <b>
              {section === null
                ? say("marks-whole")
                : (sectionOf(rubric, section)?.title ?? section)}
            </b>
            , {say("marks-now", { now, line: section === null ? "pass" : "floor" })}:{" "}
            {words("regression", regression)}
            {group.mark !== null && `; ${words("group", group)}`}
          </li>
        ))}
      </ul>
    </details>
  );
}
