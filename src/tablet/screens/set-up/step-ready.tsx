import { useState } from "react";
import { Link } from "react-router";
import type { PlanGap } from "../../../belt-test/planning/plan-gaps.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { AskFirst } from "../../parts/ask-first.tsx";
import { Key, keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { Seal } from "../../parts/seal.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { candidateDetails } from "../../session/names.ts";
import { FilesWithoutHub } from "./files-without-hub.tsx";
import { gapWords } from "./gap-words.ts";
import css from "./set-up.module.css";
import { stepOf } from "./steps.ts";
import type { Plan } from "./use-plan.ts";

/** What is missing, each with a way to mend it; and the key that opens the test. */
export function StepReady({ plan }: { plan: Plan }) {
  const say = useSay(setUpWords);
  const { notebook, hand, gaps } = plan;
  const { book, pass } = notebook;
  const [isAsking, setAsking] = useState(false);
  const needed = gaps.filter(({ weight }) => weight === "needed");
  const advice = gaps.filter(({ weight }) => weight === "advice");
  const isGated = book.plan.rubrics.some((rubric) =>
    rubric.sections.some(({ items }) => items.some(({ minimumAge }) => minimumAge !== undefined)),
  );
  const yearless = isGated
    ? book.plan.entrants.filter(
        ({ candidate }) => candidateDetails(notebook, candidate)?.birthYear === undefined,
      )
    : [];

  // Nothing is missing, let in or opened any more; what came of it is read elsewhere.
  if (book.plan.isClosed) {
    return (
      <>
        <div className={css.open}>
          <b>{say("is-closed")}</b>
          <div className={css.keys}>
            <Link {...keyLook} data-kind="ink" to={pageAddress(pass.grading, "board")}>
              {say("to-board")}
            </Link>
            <Link {...keyLook} to={pageAddress(pass.grading, "sheets")}>
              {say("to-sheets")}
            </Link>
          </div>
        </div>
        <FilesWithoutHub notebook={notebook} />
      </>
    );
  }
  return (
    <>
      {book.plan.isStarted ? (
        <div className={css.open}>
          <Seal size={64} lands />
          <b>{say("is-open")}</b>
          <div className={css.keys}>
            <Link {...keyLook} data-kind="ink" to={pageAddress(pass.grading, "board")}>
              {say("to-board")}
            </Link>
            {pass.token && (
              <Link {...keyLook} to={pageAddress(pass.grading, "door")}>
                {say("to-door")}
              </Link>
            )}
          </div>
        </div>
      ) : (
        <p className={css.intro}>{say("ready-intro")}</p>
      )}
      {needed.length === 0 && <Notice kind="plain">{say("ready-whole")}</Notice>}
      <Gaps title={say("ready-needed")} gaps={needed} plan={plan} />
      <Gaps title={say("ready-advice")} gaps={advice} plan={plan} />
      {yearless.length > 0 && !book.plan.isStarted && (
        <Notice kind="quiet">
          {say("ready-years", {
            count: yearless.length,
            who: listed(
              yearless.map(({ number }) => String(number)),
              say.locale,
            ),
          })}
        </Notice>
      )}
      {!book.plan.isStarted && (
        <div className={css.start}>
          <Key
            kind="seal"
            onClick={() => (needed.length === 0 ? void hand.start() : setAsking(true))}
          >
            {say("open-test")}
          </Key>
          <p>{say("open-test-text")}</p>
        </div>
      )}
      <FilesWithoutHub notebook={notebook} />
      {isAsking && (
        <AskFirst
          title={say("open-title")}
          yes={say("open-anyway")}
          no={say("not-yet")}
          onYes={() => {
            setAsking(false);
            void hand.start();
          }}
          onNo={() => setAsking(false)}
        >
          <p>{say("open-gaps", { count: needed.length })}</p>
        </AskFirst>
      )}
    </>
  );
}

function Gaps({
  title,
  gaps,
  plan: { notebook },
}: {
  title: string;
  gaps: readonly PlanGap[];
  plan: Plan;
}) {
  const say = useSay(setUpWords);
  if (gaps.length === 0) return null;
  return (
    <section>
      <h3>{title}</h3>
      <ul className={css.gaps}>
        {gaps.map((gap) => {
          const what = gapWords(say, notebook, gap);
          const step = stepOf(gap);
          return (
            <li key={what} data-weight={gap.weight}>
              <span>{what}</span>
              <Link
                {...keyLook}
                data-kind="quiet"
                to={`?step=${step}`}
                aria-label={say("go-mend-named", { step: say(`step-${step}`), what })}
              >
                {say("go-mend")}
              </Link>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
