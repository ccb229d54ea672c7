import { useState } from "react";
import { Link } from "react-router";
import type { Entrant } from "../../../belt-test/scorebook/plan.ts";
import { rubricsOfVerdicts } from "../../../belt-test/verdict/verdict-doubt.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { Belt } from "../../parts/belt.tsx";
import { CandidateForm } from "../../parts/candidate-form.tsx";
import { Dialog } from "../../parts/dialog.tsx";
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key, keyLook } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { candidateDetails, givenName } from "../../session/names.ts";
import { mayBeReadOtherwise } from "../../session/work-state.ts";
import { RosterImport } from "./roster-import.tsx";
import css from "./set-up.module.css";
import type { Plan } from "./use-plan.ts";

/** Who is tested: written one by one, or taken from a list. */
export function StepCandidates({ plan: { notebook, hand, did } }: { plan: Plan }) {
  const say = useSay(setUpWords);
  const { book } = notebook;
  const [correcting, setCorrecting] = useState<Entrant>();
  const [added, setAdded] = useState(0);
  const { entrants, rubrics } = book.plan;
  const latestYear = Number(book.plan.opened?.date.slice(0, 4) ?? 2100);
  const taken = new Map(
    entrants.map(({ candidate, number }) => [number, givenName(notebook, candidate)]),
  );
  const free = Math.max(0, ...entrants.map(({ number }) => number)) + 1;
  const who = (number: number, given: string) => `${number} ${given}`;

  if (rubrics.length === 0)
    return (
      <EmptyState
        title={say("candidates-none")}
        keys={
          <Link {...keyLook} to="?step=rubrics">
            {say("step-rubrics")}
          </Link>
        }
      >
        {say("candidates-need-rubric")}
      </EmptyState>
    );
  return (
    <>
      <p className={css.intro}>{say("candidates-intro")}</p>
      <div className={css.two}>
        <section>
          <h3>{say("add-title")}</h3>
          <CandidateForm
            key={`${free} ${added}`}
            isReady={added > 0}
            rubrics={rubrics}
            taken={taken}
            latestYear={latestYear}
            start={{
              number: free,
              // The next one mostly tests for the same rank.
              rubric:
                entrants.at(-1)?.rubric ?? (rubrics.length === 1 ? rubrics[0]?.id : undefined),
            }}
            isCorrection={false}
            onKeep={(row) => {
              setAdded(added + 1);
              void did(
                hand.enter([row]),
                say("did-enter", { count: 1, who: who(row.number, row.given) }),
              );
            }}
          />
        </section>
        <RosterImport
          known={{
            rubrics: rubrics.map(({ id }) => id),
            taken: entrants.map(({ number }) => number),
            latestYear,
          }}
          onTake={(rows) =>
            void did(hand.enter(rows), say("did-enter", { count: rows.length, who: "" }))
          }
        />
      </div>
      {entrants.length > 0 && (
        <ul className={css.roster} aria-label={say("candidates-table")}>
          {entrants.map((entrant) => {
            const { candidate, number, rubric: id } = entrant;
            const rubric = book.plan.rubric(id);
            const details = candidateDetails(notebook, candidate);
            const given = details?.given ?? "";
            const isComing = book.floor.presence(candidate) !== "absent";
            return (
              <li key={candidate} data-away={isComing ? undefined : ""}>
                <b className={css.number}>{number}</b>
                <div>
                  <span className={css.name}>
                    {given} {details?.family}
                  </span>
                  {!isComing && <em>{say("is-not-coming")}</em>}
                  <span className={css.belts}>
                    {rubric && <Belt belt={rubric.to.belt} />}
                    <small>
                      {rubric ? say(`audience-${rubric.audience}`) : id}
                      {details?.birthYear ? ` · ${details.birthYear}` : ""}
                      {details?.sounds ? ` · ${details.sounds}` : ""}
                    </small>
                  </span>
                </div>
                <div className={css.keys}>
                  <Key
                    kind="quiet"
                    aria-label={say("edit-named", { number, given })}
                    onClick={() => setCorrecting(entrant)}
                  >
                    {say("edit")}
                  </Key>
                  <Key
                    kind="quiet"
                    aria-label={say(isComing ? "not-coming-named" : "coming-named", {
                      number,
                      given,
                    })}
                    onClick={() =>
                      void did(
                        hand.setComing(candidate, !isComing),
                        say(isComing ? "did-not-coming" : "did-coming", {
                          who: who(number, given),
                        }),
                      )
                    }
                  >
                    {say(isComing ? "not-coming" : "coming")}
                  </Key>
                </div>
              </li>
            );
          })}
        </ul>
      )}
      {correcting && (
        <Dialog
          open
          title={say("edit-title", { number: correcting.number })}
          closeWord={say("cancel")}
          onClose={() => setCorrecting(undefined)}
        >
          <CandidateForm
            rubrics={rubrics}
            taken={new Map([...taken].filter(([number]) => number !== correcting.number))}
            latestYear={latestYear}
            start={{
              ...candidateDetails(notebook, correcting.candidate),
              number: correcting.number,
              rubric: correcting.rubric,
            }}
            isCorrection
            isMisfit={(id) => {
              const next = book.plan.rubric(id);
              return (
                next !== undefined &&
                mayBeReadOtherwise(notebook, correcting.candidate, next) &&
                !rubricsOfVerdicts(book, correcting.candidate).some((one) => one.id === id)
              );
            }}
            needsReason={(rubric) => book.plan.isStarted && rubric !== correcting.rubric}
            onKeep={(row, reason) => {
              setCorrecting(undefined);
              const isDoubted =
                row.rubric !== correcting.rubric && book.decisions.verdict(correcting.candidate);
              void did(
                hand.correct(correcting, row, reason),
                say(isDoubted ? "did-correct-verdict" : "did-correct", {
                  who: who(row.number, row.given),
                }),
              );
            }}
          />
        </Dialog>
      )}
    </>
  );
}
