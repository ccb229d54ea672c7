import { type ReactNode, useState } from "react";
import type { CandidateId, SectionId } from "../../../belt-test/identity.ts";
import { lineLoad } from "../../../belt-test/rubric/line-load.ts";
import { isHere } from "../../../belt-test/scorebook/is-here.ts";
import type { Seat } from "../../../belt-test/scorebook/plan.ts";
import type { PersonId } from "../../../book/identity.ts";
import setUpWords from "../../../words/en/set-up.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { Belt } from "../../parts/belt.tsx";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { givenName, personName } from "../../session/names.ts";
import css from "./set-up.module.css";
import type { LaneDrag } from "./use-lane-drag.ts";
import type { Plan } from "./use-plan.ts";
import { watchOf } from "./watch-of.ts";

interface WaveTableProps {
  plan: Plan;
  wave: number;
  lanes: readonly CandidateId[];
  judges: readonly Seat[];
  drag: LaneDrag;
  /** Where a candidate may be moved to. */
  targets: readonly { value: string; label: string }[];
  onMove: (candidate: CandidateId, to: string) => void;
  /** What this wave lacks, as list items. */
  children: ReactNode;
}

/** One wave: a column a lane, as on the floor, and a row a judge; a bead on the line means “watches”. */
export function WaveTable({
  plan: { notebook, hand, did },
  wave,
  lanes,
  judges,
  drag,
  targets,
  onMove,
  children,
}: WaveTableProps) {
  const say = useSay(setUpWords);
  const { book } = notebook;
  const [section, setSection] = useState<SectionId>();
  const who = (candidate: CandidateId) =>
    `${book.plan.entrant(candidate)?.number ?? ""} ${givenName(notebook, candidate)}`.trim();
  const nameOf = (person: PersonId) => personName(notebook, person) ?? say("somebody");
  const rubrics = [...new Set(lanes.flatMap((candidate) => book.plan.rubricOf(candidate) ?? []))];
  const sections = new Map(
    rubrics.flatMap((rubric) => rubric.sections.map(({ id, title }) => [id, title] as const)),
  );
  const carries = Math.min(...rubrics.map((rubric) => lineLoad(rubric, 1)?.carries ?? 99));

  function shift(candidate: CandidateId, by: -1 | 1) {
    const from = lanes.indexOf(candidate);
    const order = [...lanes];
    order.splice(from, 1);
    order.splice(from + by, 0, candidate);
    void did(
      hand.lineUp(wave, order),
      say("did-lane", { who: who(candidate), lane: from + by + 1 }),
    );
  }

  /** On which side of a lane whoever is dragged would come in. */
  const dropAt = (index: number): "left" | "right" | undefined => {
    const target = drag.dragged?.target;
    if (target?.wave !== wave) return undefined;
    if (target.gap === index) return "left";
    return target.gap === lanes.length && index === lanes.length - 1 ? "right" : undefined;
  };

  return (
    <section className={css.wave} aria-labelledby={`wave-${wave}`}>
      <header>
        <h3 id={`wave-${wave}`}>{say("wave", { wave })}</h3>
        <span>{say("wave-about", { count: lanes.length })}</span>
        {judges.length > 0 && (
          <label className={css.waveSection}>
            {say("watch-section")}
            <select
              value={section ?? ""}
              onChange={(event) =>
                setSection((event.currentTarget.value || undefined) as SectionId | undefined)
              }
            >
              <option value="">{say("watch-all")}</option>
              {[...sections].map(([id, title]) => (
                <option key={id} value={id}>
                  {title}
                </option>
              ))}
            </select>
          </label>
        )}
      </header>
      {/* biome-ignore lint/a11y/noNoninteractiveTabindex: a region that scrolls sideways must be reachable by the keyboard. */}
      <section className={css.waveScroll} tabIndex={0} aria-label={say("watch-title", { wave })}>
        <table>
          <thead>
            <tr>
              <th scope="col">
                <span className="unseen">{say("judge-label")}</span>
              </th>
              {lanes.map((candidate, index) => {
                const rubric = book.plan.rubricOf(candidate);
                const isAway = !isHere(book, candidate);
                return (
                  <th
                    key={candidate}
                    scope="col"
                    data-away={isAway || undefined}
                    data-wave={wave}
                    data-lane={index}
                    data-dragged={drag.dragged?.candidate === candidate || undefined}
                    data-drop={dropAt(index)}
                  >
                    <span className={css.laneGrip} title={say("grip")} {...drag.grip(candidate)}>
                      <small>{say("lane", { lane: index + 1 })}</small>
                      <b className={css.number}>{book.plan.entrant(candidate)?.number}</b>
                      <span className={css.name}>{givenName(notebook, candidate)}</span>
                      {isAway ? (
                        <em>{say("lane-gone")}</em>
                      ) : (
                        rubric && <Belt belt={rubric.to.belt} />
                      )}
                    </span>
                    <span className={css.waveMoves}>
                      <Key
                        kind="quiet"
                        disabled={index === 0}
                        aria-label={say("left-named", { who: who(candidate) })}
                        onClick={() => shift(candidate, -1)}
                      >
                        ←
                      </Key>
                      <Key
                        kind="quiet"
                        disabled={index === lanes.length - 1}
                        aria-label={say("right-named", { who: who(candidate) })}
                        onClick={() => shift(candidate, 1)}
                      >
                        →
                      </Key>
                    </span>
                    <select
                      aria-label={say("move-named", { who: who(candidate) })}
                      value=""
                      onChange={(event) => onMove(candidate, event.currentTarget.value)}
                    >
                      <option value="" disabled>
                        {say("to-wave", { wave })}
                      </option>
                      {targets.map(({ value, label }) => (
                        <option key={value} value={value}>
                          {label}
                        </option>
                      ))}
                    </select>
                  </th>
                );
              })}
            </tr>
          </thead>
          <tbody>
            {judges.map(({ person }) => {
              const watches = lanes.map((candidate) =>
                watchOf(book, { judge: person, wave, candidate, section }),
              );
              const holder = book.panel.successor(person);
              // Whatever is set here goes to whoever has the place.
              const isGiven = holder !== person;
              const count = watches.filter(({ on }) => on > 0).length;
              return (
                <tr key={person}>
                  <th scope="row">
                    <span>{nameOf(person)}</span>
                    {isGiven && <small>{say("watch-given", { holder: nameOf(holder) })}</small>}
                    {carries < 99 && (
                      <small data-heavy={count > carries || undefined}>
                        <span aria-hidden="true">
                          {say("watch-load", { lanes: count, carries })}
                        </span>
                        <span className="unseen">
                          {say("watch-load-label", {
                            judge: nameOf(person),
                            lanes: count,
                            carries,
                          })}
                        </span>
                      </small>
                    )}
                  </th>
                  {lanes.map((candidate, index) => {
                    const { on, of, isFixed, isOpen } = watches[index] as (typeof watches)[number];
                    const isOn = of > 0 && on === of;
                    return (
                      <td key={candidate} data-wave={wave} data-lane={index}>
                        <button
                          type="button"
                          className={css.watch}
                          data-partly={on > 0 && !isOn ? "" : undefined}
                          aria-pressed={on > 0 && !isOn ? "mixed" : isOn}
                          disabled={of === 0}
                          aria-disabled={
                            (isOn && isFixed) || isOpen || (isGiven && on === 0) || undefined
                          }
                          title={
                            isOpen
                              ? say("watch-open")
                              : isGiven && on === 0
                                ? say("watch-given", { holder: nameOf(holder) })
                                : isFixed
                                  ? say("watch-fixed")
                                  : on > 0 && !isOn
                                    ? say("watch-partly", { count: on })
                                    : undefined
                          }
                          aria-label={say("watch-on", {
                            judge: nameOf(person),
                            who: who(candidate),
                          })}
                          onClick={() => {
                            if (isOpen || (isOn && isFixed) || (isGiven && on === 0)) return;
                            const stays = isOn
                              ? hand.staysIn(person, wave, candidate, section)
                              : [];
                            void did(
                              hand.watch(person, wave, [candidate], !isOn, section),
                              say(
                                stays.length > 0 ? "did-stay" : isOn ? "did-unwatch" : "did-watch",
                                {
                                  judge: nameOf(person),
                                  who: who(candidate),
                                  sections: listed(
                                    stays.map((id) => sections.get(id) ?? id),
                                    say.locale,
                                  ),
                                },
                              ),
                            );
                          }}
                        />
                      </td>
                    );
                  })}
                </tr>
              );
            })}
          </tbody>
        </table>
      </section>
      <ul className={css.waveGaps}>{children}</ul>
    </section>
  );
}
