import { useEffect, useState } from "react";
import { lineLoad } from "../../../belt-test/rubric/line-load.ts";
import type { Rubric } from "../../../belt-test/rubric/rubric.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { Belt } from "../../parts/belt.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { Progress } from "../../parts/progress.tsx";
import { useSay } from "../../parts/use-say.ts";
import { OwnRubric } from "./own-rubric.tsx";
import { ReplaceRubric } from "./replace-rubric.tsx";
import css from "./set-up.module.css";
import { shippedRubrics } from "./shipped-rubrics.ts";
import type { Plan } from "./use-plan.ts";

/** Which rubrics this test freezes. Those of the test come first, then what is on offer. */
export function StepRubrics({ plan }: { plan: Plan }) {
  const say = useSay(setUpWords);
  const { notebook, hand, did } = plan;
  const { book } = notebook;
  const [shipped, setShipped] = useState<Rubric[]>();
  useEffect(() => {
    let isHere = true;
    void shippedRubrics().then((rubrics) => isHere && setShipped(rubrics));
    return () => {
      isHere = false;
    };
  }, []);
  const [replacing, setReplacing] = useState<Rubric>();
  const freeze = (rubric: Rubric) => {
    if (book.plan.isStarted && book.plan.rubric(rubric.id)) return setReplacing(rubric);
    void did(hand.freeze(rubric), say("did-rubric", { title: rubric.title }));
  };
  const frozen = book.plan.rubrics;
  const newerOf = ({ id, version }: Rubric) =>
    shipped?.find((one) => one.id === id && one.version > version);
  const offered = (shipped ?? []).filter(({ id }) => !book.plan.rubric(id));

  return (
    <>
      <p className={css.intro}>{say("rubrics-intro")}</p>
      {book.plan.isStarted && <Notice kind="quiet">{say("rubric-under-way")}</Notice>}
      {frozen.length > 0 && (
        <ul className={css.rubrics}>
          {frozen.map((rubric) => (
            <RubricRow key={rubric.id} rubric={rubric}>
              <p className={css.frozen}>
                <b>{say("rubric-chosen")}</b>
                <span>
                  {say("rubric-users", {
                    count: book.plan.entrants.filter((one) => one.rubric === rubric.id).length,
                  })}
                </span>
              </p>
              {newerOf(rubric) && (
                <Key
                  kind="quiet"
                  aria-label={say("rubric-newer-named", { title: rubric.title })}
                  onClick={() => freeze(newerOf(rubric) ?? rubric)}
                >
                  {say("rubric-newer", { version: newerOf(rubric)?.version ?? 0 })}
                </Key>
              )}
            </RubricRow>
          ))}
        </ul>
      )}
      {!shipped && <Progress what={say("rubrics-loading")} done={0} />}
      {offered.length > 0 && (
        <section>
          <h3>{say("rubrics-shipped")}</h3>
          <ul className={css.rubrics}>
            {offered.map((rubric) => (
              <RubricRow key={rubric.id} rubric={rubric}>
                <Key
                  aria-label={say("rubric-choose-named", { title: rubric.title })}
                  onClick={() => freeze(rubric)}
                >
                  {say("rubric-choose")}
                </Key>
              </RubricRow>
            ))}
          </ul>
        </section>
      )}
      <OwnRubric onTake={freeze} />
      {replacing && (
        <ReplaceRubric plan={plan} next={replacing} onClose={() => setReplacing(undefined)} />
      )}
    </>
  );
}

function RubricRow({ rubric, children }: { rubric: Rubric; children: React.ReactNode }) {
  const say = useSay(setUpWords);
  const carries = lineLoad(rubric, 1)?.carries;
  return (
    <li>
      <div>
        <b>{rubric.title}</b>
        <span className={css.belts}>
          <Belt belt={rubric.from.belt} /> <span aria-hidden="true">→</span>{" "}
          <Belt belt={rubric.to.belt} />
        </span>
        <small>
          {say(carries === undefined ? "rubric-about-single" : "rubric-about", {
            sections: rubric.sections.length,
            items: rubric.sections.reduce((sum, { items }) => sum + items.length, 0),
            carries: carries ?? 0,
          })}
        </small>
      </div>
      {children}
    </li>
  );
}
