// Held by the chief examiner at a laptop or tablet, sitting, days or an hour before the test; between bouts, standing.
// They look at one step at a time and at what is still missing; minutes before the day, ten seconds on it.
import { type ReactNode, useEffect, useRef } from "react";
import { Link, useSearchParams } from "react-router";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { Key, keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { useSay } from "../../parts/use-say.ts";
import { WayAround } from "../../session/way-around.tsx";
import css from "./set-up.module.css";
import { StepCandidates } from "./step-candidates.tsx";
import { StepPanel } from "./step-panel.tsx";
import { StepReady } from "./step-ready.tsx";
import { StepRubrics } from "./step-rubrics.tsx";
import { StepTest } from "./step-test.tsx";
import { StepWaves } from "./step-waves.tsx";
import { isStep, type StepId, stepState, steps } from "./steps.ts";
import { type Plan, usePlan } from "./use-plan.ts";

const pages: Record<StepId, (props: { plan: Plan }) => ReactNode> = {
  test: StepTest,
  rubrics: StepRubrics,
  candidates: StepCandidates,
  panel: StepPanel,
  waves: StepWaves,
  ready: StepReady,
};

export function SetUpScreen() {
  const { plan, done, undo } = usePlan();
  const { notebook, gaps, isClosed } = plan;
  const { book } = notebook;
  const say = useSay(setUpWords);
  const [search] = useSearchParams();
  const asked = search.get("step");
  // Comes back to where the plan stopped.
  const step: StepId = isStep(asked)
    ? asked
    : (steps.find((one) => one !== "test" && stepState(one, gaps, notebook) === "open") ?? "ready");
  const next = steps[steps.indexOf(step) + 1];
  const Page = pages[step];
  const rail = useRef<HTMLElement>(null);
  const heading = useRef<HTMLHeadingElement>(null);
  const shown = useRef(step);
  useEffect(() => {
    rail.current
      ?.querySelector("[aria-current]")
      ?.scrollIntoView?.({ block: "nearest", inline: "center" });
    if (shown.current === step) return;
    // Another step begins at its top, for eyes and for a reader.
    shown.current = step;
    document.documentElement.scrollTop = 0;
    heading.current?.focus({ preventScroll: true });
  }, [step]);

  return (
    <>
      <PageBand
        title={say("title")}
        about={say("about", {
          title: book.plan.opened?.title ?? "",
          candidates: book.plan.entrants.length,
          judges: book.plan.seats.filter(({ roles }) => roles.includes("judge")).length,
        })}
        keys={<WayAround />}
      />
      <div className={css.root}>
        <aside className={css.side}>
          <nav className={css.steps} ref={rail} aria-label={say("steps")}>
            <ol>
              {steps.map((one) => {
                const state = stepState(one, gaps, notebook);
                return (
                  <li key={one} data-state={state}>
                    <Link to={`?step=${one}`} aria-current={one === step ? "step" : undefined}>
                      {say(`step-${one}`)} <span className="unseen">{say(`state-${state}`)}</span>
                    </Link>
                  </li>
                );
              })}
            </ol>
          </nav>
          <div className={css.done} role="status">
            {done && (
              <>
                <span>{done.words}</span>
                {done.back && !isClosed && (
                  <Key kind="firm" onClick={() => void undo()}>
                    {say("undo")}
                  </Key>
                )}
              </>
            )}
          </div>
        </aside>
        <main className={css.page} key={step}>
          <h2 ref={heading} tabIndex={-1}>
            {say(`step-${step}`)}
          </h2>
          {isClosed ? (
            <Notice kind="quiet">{say("closed")}</Notice>
          ) : (
            book.plan.isStarted && <Notice kind="quiet">{say("under-way")}</Notice>
          )}
          <fieldset className={css.closed} disabled={isClosed}>
            <Page plan={plan} />
          </fieldset>
          {next && (
            <Link
              {...keyLook}
              className={`${keyLook.className} ${css.next}`}
              data-kind="ink"
              to={`?step=${next}`}
            >
              {say("next-step", { step: say(`step-${next}`) })}
            </Link>
          )}
        </main>
      </div>
    </>
  );
}
