import { useState } from "react";
import { Link } from "react-router";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { laneOrder } from "../../../belt-test/planning/lane-order.ts";
import { suggestedWaves } from "../../../belt-test/planning/suggested-waves.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import type { PersonId } from "../../../book/identity.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { EmptyState } from "../../parts/empty-state.tsx";
import { Key, keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { givenToOthers } from "../../session/give-back.ts";
import { givenName, personName } from "../../session/names.ts";
import { gapWords } from "./gap-words.ts";
import css from "./set-up.module.css";
import { stepOf } from "./steps.ts";
import { useLaneDrag } from "./use-lane-drag.ts";
import type { Plan } from "./use-plan.ts";
import { WaveTable } from "./wave-table.tsx";

/** Who stands together, in which lane, and who watches whom. */
export function StepWaves({ plan }: { plan: Plan }) {
  const say = useSay(setUpWords);
  const { notebook, hand, gaps, did } = plan;
  const { book } = notebook;
  const [isAsking, setAsking] = useState(false);
  const coming = book.plan.entrants.filter(({ candidate }) => isHere(book, candidate));
  const judges = book.plan.seats.filter(({ roles }) => roles.includes("judge"));
  const waves = book.plan.filledWaves.map((wave) => ({ wave, lanes: book.plan.lanes(wave) }));
  const pool = coming.filter(({ candidate }) => book.plan.waveOf(candidate) === undefined);
  const nextWave = Math.max(0, ...book.plan.waves.map(({ wave }) => wave)) + 1;
  // An emptied wave is used again before a new one is numbered.
  const freeWave =
    book.plan.waves.find(({ lanes }) => lanes.length === 0)?.wave ?? Math.min(99, nextWave);
  const who = (candidate: CandidateId) =>
    `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();

  const nameOf = (person: PersonId) => personName(notebook, person) ?? say("somebody");

  function suggest() {
    setAsking(false);
    const suggested = suggestedWaves({
      candidates: coming,
      // Whoever's place another has would be given lanes that the other marks.
      judges: judges.flatMap(({ person }) =>
        book.panel.successor(person) === person ? [person] : [],
      ),
      rubrics: book.plan.rubrics,
    });
    void did(hand.take(suggested), say("did-suggest", { waves: suggested.length }));
  }
  function move(candidate: CandidateId, to: string) {
    const wave = to === "out" ? null : Number(to);
    void did(
      hand.move(candidate, wave),
      wave === null
        ? say("did-out", { who: who(candidate) })
        : say("did-move", { who: who(candidate), wave }),
    );
  }

  const drag = useLaneDrag((candidate, wave, gap) => {
    const lanes = book.plan.lanes(wave);
    const order = laneOrder(lanes, candidate, gap);
    if (order.join() === lanes.join()) return;
    const isHere = lanes.includes(candidate);
    void did(
      hand.move(candidate, wave, gap),
      isHere
        ? say("did-lane", { who: who(candidate), lane: order.indexOf(candidate) + 1 })
        : say("did-move", { who: who(candidate), wave }),
    );
  });

  if (coming.length === 0)
    return (
      <EmptyState
        title={say("candidates-none")}
        keys={
          <Link {...keyLook} to="?step=candidates">
            {say("step-candidates")}
          </Link>
        }
      >
        {say("waves-need")}
      </EmptyState>
    );
  return (
    <>
      <p className={css.intro}>{say("waves-intro")}</p>
      {book.plan.isStarted && <Notice kind="quiet">{say("watch-under-way")}</Notice>}
      {judges.length === 0 && <Notice kind="quiet">{say("watch-none")}</Notice>}
      {givenToOthers(notebook).map((given) => {
        const names = { holder: nameOf(given.holder), from: nameOf(given.from) };
        return (
          <div className={css.given} key={`${given.from}/${given.holder}`}>
            <p>{say(given.isFree ? "given" : "given-stays", names)}</p>
            {given.isFree && (
              <Key onClick={() => void did(hand.giveBack(given), say("did-give-back", names))}>
                {say("give-back", names)}
              </Key>
            )}
          </div>
        );
      })}
      <div className={css.keys}>
        <Key
          kind={waves.length === 0 ? "ink" : "plain"}
          onClick={() => (waves.length === 0 ? suggest() : setAsking(true))}
        >
          {say(waves.length === 0 ? "suggest" : "suggest-again")}
        </Key>
      </div>

      {pool.length > 0 && (
        <section className={css.pool} aria-labelledby="set-up-pool">
          <h3 id="set-up-pool">{say("pool")}</h3>
          <ul>
            {pool.map(({ candidate, number }) => (
              <li key={candidate}>
                <span className={css.laneGrip} title={say("grip")} {...drag.grip(candidate)}>
                  <b className={css.number}>{number}</b>
                  <span className={css.name}>{givenName(notebook, candidate)}</span>
                </span>
                <select
                  aria-label={say("put-named", { who: who(candidate) })}
                  value=""
                  onChange={(event) => move(candidate, event.currentTarget.value)}
                >
                  <option value="" disabled>
                    {say("pool-put")}
                  </option>
                  {waves.map(({ wave }) => (
                    <option key={wave} value={wave}>
                      {say("to-wave", { wave })}
                    </option>
                  ))}
                  <option value={freeWave}>{say("new-wave")}</option>
                </select>
              </li>
            ))}
          </ul>
        </section>
      )}

      {waves.map(({ wave, lanes }) => (
        <WaveTable
          key={wave}
          plan={plan}
          wave={wave}
          lanes={lanes}
          judges={judges}
          drag={drag}
          targets={[
            ...waves
              .filter((one) => one.wave !== wave)
              .map((one) => ({
                value: String(one.wave),
                label: say("to-wave", { wave: one.wave }),
              })),
            ...(lanes.length > 1 ? [{ value: String(freeWave), label: say("new-wave") }] : []),
            { value: "out", label: say("out") },
          ]}
          onMove={move}
        >
          {gaps
            .filter((gap) => stepOf(gap) === "waves" && "wave" in gap && gap.wave === wave)
            .map((gap) => {
              const words = gapWords(say, notebook, gap);
              return (
                <li key={words} data-weight={gap.weight}>
                  {words}
                </li>
              );
            })}
        </WaveTable>
      ))}

      {drag.dragged && (
        <div
          className={css.laneDragged}
          aria-hidden="true"
          style={{ translate: `${drag.dragged.x}px ${drag.dragged.y}px` }}
        >
          {who(drag.dragged.candidate)}
        </div>
      )}

      {isAsking && (
        <AskFirst
          title={say("suggest-title")}
          yes={say("suggest-go")}
          no={say("suggest-keep")}
          kind="ink"
          onYes={suggest}
          onNo={() => setAsking(false)}
        >
          <p>{say("suggest-text")}</p>
        </AskFirst>
      )}
    </>
  );
}
