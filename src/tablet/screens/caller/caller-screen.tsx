import { useEffect, useRef, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import { callBody } from "../../../belt-test/planning/call-body.ts";
import { calledIndex, waveScript } from "../../../belt-test/planning/wave-script.ts";
import type { EntryOf } from "../../../belt-test/scorebook/entry.ts";
import { placeOf } from "../../../belt-test/scorebook/judge-view.ts";
import { swapOf } from "../../../belt-test/scorebook/swapped-lanes.ts";
import type { Step } from "../../../belt-test/script/script.ts";
import { markedAlike, stepKey } from "../../../belt-test/script/script.ts";
import { clockTime } from "../../../words/dates.ts";
import callerWords from "../../../words/en/caller.json" with { type: "json" };
import { listed } from "../../../words/listed.ts";
import { JapaneseName } from "../../parts/japanese-name.tsx";
import { Key } from "../../parts/key.tsx";
import { RoleLinks } from "../../parts/role-links.tsx";
import { StopKey } from "../../parts/stop-key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { candidateDetails, personName } from "../../session/names.ts";
import { notShown } from "../../session/not-shown.ts";
import { useSession } from "../../session/services.tsx";
import { stepName } from "../../session/step-name.ts";
import { stopFloor } from "../../session/stop-floor.ts";
import css from "./caller-screen.module.css";
import { Counts } from "./counts.tsx";
import { JudgesRow } from "./judges-row.tsx";
import { PartnerRule } from "./partner-rule.tsx";
import { SwapDialog } from "./swap-dialog.tsx";
import { useOtherHand } from "./use-other-hand.ts";
import { usePace } from "./use-pace.ts";
import { WaveChoice } from "./wave-choice.tsx";

/*
 * The caller, on their feet in front of the line, tablet at the hip or on a stand: one glance a call, read from two metres,
 * one thumb for the count. Eyes belong to the children; the next word must be where it was last time.
 */
export function CallerScreen() {
  const { notebook, sendPace } = useSession();
  const say = useSay(callerWords);
  const { book } = notebook;
  const [isChoosing, setChoosing] = useState(false);
  const [isSwapping, setSwapping] = useState(false);
  const [ruleSaidFor, setRuleSaidFor] = useState<string>();
  const wave = book.floor.currentCall?.body.wave;
  const steps = wave === undefined ? [] : waveScript(book, wave);
  const index = wave === undefined ? -1 : calledIndex(book, wave, steps);
  const step = steps[index];
  const first = step?.candidates[0];
  const item = first && step ? placeOf(book, first, step)?.item : undefined;
  const total = item?.counts ?? 0;
  const key = step ? `${wave} ${stepKey(step)} ${book.floor.currentCall?.id}` : "";
  const pace = usePace(key, total, sendPace);
  const otherHand = useOtherHand(notebook);

  const call = (next: Step | undefined, repeat = false) => {
    if (!next || wave === undefined) return;
    sendPace(0);
    void notebook.write("called", { ...callBody(wave, next), ...(repeat ? { repeat } : {}) });
  };
  const openWave = (chosen: number) => {
    setChoosing(false);
    const [start] = waveScript(book, chosen);
    if (!start) return;
    sendPace(0);
    void notebook.write("called", callBody(chosen, start));
  };

  const keys = useRef({
    tap: pace.tap,
    next: () => call(steps[index + 1]),
    back: () => call(steps[index - 1]),
  });
  keys.current = {
    tap: pace.tap,
    next: () => call(steps[index + 1]),
    back: () => call(steps[index - 1]),
  };
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (
        event.target instanceof HTMLElement &&
        event.target.closest("button, input, textarea, select, dialog, [role=alertdialog]")
      )
        return;
      if (event.key === " ") keys.current.tap();
      else if (event.key === "ArrowRight") keys.current.next();
      else if (event.key === "ArrowLeft") keys.current.back();
      else return;
      event.preventDefault();
    };
    addEventListener("keydown", onKey);
    return () => removeEventListener("keydown", onKey);
  }, []);

  const who = (candidate: CandidateId) => {
    const details = candidateDetails(notebook, candidate);
    return `${book.plan.entrant(candidate)?.number ?? ""} ${details?.given ?? ""}`.trim();
  };
  const title = (one: Step) => {
    const { title, section } = stepName(book, one);
    if (title === undefined)
      return one.marking === "checklist"
        ? section
        : say("close-of", { section: section.toLocaleLowerCase(say.locale) });
    const called = one.side ? `${title}, ${say(one.side)}` : title;
    return one.marking === "single" && one.candidates[0]
      ? `${who(one.candidates[0])}: ${called}`
      : called;
  };

  /** “wave 1, set 4 (Rising block, left side)”; of a step that is in no script any more the wave alone. */
  const callName = ({ body }: EntryOf<"called">) => {
    const script = waveScript(book, body.wave);
    const at = script.findIndex(
      ({ section, item, side, candidates }) =>
        section === body.section &&
        item === body.item &&
        side === body.side &&
        (!body.candidates || candidates[0] === body.candidates[0]),
    );
    const found = script[at];
    return found
      ? say("call-name", { wave: body.wave, set: at + 1, title: title(found) })
      : say("call-name-wave", { wave: body.wave });
  };

  if (isChoosing || wave === undefined || !step) {
    return (
      <WaveChoice
        book={book}
        who={who}
        links={
          <RoleLinks
            grading={notebook.pass.grading}
            roles={notebook.pass.roles}
            waiting={notebook.news.waiting.length}
          />
        }
        onChoose={openWave}
        onBack={wave !== undefined && step ? () => setChoosing(false) : undefined}
        onStop={() => void stopFloor(notebook)}
      />
    );
  }

  const name = stepName(book, step);
  const heading = name.title ?? title(step);
  const isSwitch = step.side === "right" && steps[index - 1]?.item === step.item;
  const words = !item
    ? say(step.marking === "checklist" ? "say-checklist" : "say-close")
    : step.marking === "single" && first
      ? say("say-single", { who: spoken(first), item: item.title })
      : isSwitch
        ? say("say-switch", { counts: total })
        : step.side
          ? say("say-item-side", {
              side: step.side,
              item: item.title.toLocaleLowerCase(say.locale),
              counts: total,
            })
          : say("say-item", { item: item.title, counts: total });
  function spoken(candidate: CandidateId): string {
    const details = candidateDetails(notebook, candidate);
    return details?.sounds ? `${details.given} (${details.sounds})` : (details?.given ?? "");
  }
  const excused = item
    ? book.plan
        .lanes(wave)
        .filter(
          (candidate) =>
            book.plan.excuse(candidate, item.id) !== undefined &&
            book.floor.presence(candidate) === "checked-in",
        )
    : [];
  const next = steps[index + 1];
  const mustSayRule = item?.partner === true && ruleSaidFor !== `${wave} ${step.section}`;
  /** Whose list is read out. */
  const asked = markedAlike(step).find(({ marking }) => marking === "checklist")?.candidates[0];
  const isCounted = total > 0 && pace.count >= total;

  return (
    <main className={css.root} data-paused={book.floor.isPaused || undefined}>
      <header className={css.head}>
        <Key kind="quiet" onClick={() => setChoosing(true)}>
          {say("wave", { wave })}
        </Key>
        <p className={css.line}>
          {step.candidates.map((candidate) => (
            <span key={candidate}>
              {who(candidate)}
              {book.floor.presence(candidate) === "expected" && <em>{say("not-checked-in")}</em>}
            </span>
          ))}
        </p>
        <p>{say("set-of", { set: index + 1, sets: steps.length })}</p>
      </header>

      <section className={css.call} aria-live="polite">
        <h1 data-fit={heading.length <= 14 ? "short" : heading.length <= 22 ? "long" : "longest"}>
          {heading}
        </h1>
        <p className={css.alias}>
          {name.alias && <em lang="ja-Latn">{name.alias}</em>}
          {name.script && <JapaneseName>{name.script}</JapaneseName>}
          {step.side && <strong>{say(step.side)}</strong>}
        </p>
        <p className={css.words}>{words}</p>
        {excused.length > 0 && (
          <p className={css.excused}>{say("excused", { who: excused.map(who).join(", ") })}</p>
        )}
        {notShown(notebook, wave).map(({ candidates, steps: missed, was }) => (
          <p className={css.missed} key={`${candidates[0]} ${was}`}>
            {say(`missed-calls-${was}`, {
              who: listed(candidates.map(who), say.locale),
              heads: candidates.length,
              calls: listed(missed.map(title), say.locale),
              count: missed.length,
            })}
          </p>
        ))}
        {otherHand && (
          <p className={css.other}>
            {say(otherHand.what === "moved" ? "other-call" : "passed-call", {
              name: personName(notebook, otherHand.call.by) ?? say("somebody"),
              time: clockTime(otherHand.call.at, say.locale),
              call: callName(otherHand.what === "moved" ? otherHand.own : otherHand.call),
            })}
          </p>
        )}
      </section>

      {book.floor.isPaused ? (
        <p className={css.paused}>{say("paused")}</p>
      ) : mustSayRule ? (
        <PartnerRule onSaid={() => setRuleSaidFor(`${wave} ${step.section}`)} />
      ) : total > 1 ? (
        <Counts pace={pace} total={total} />
      ) : step.marking === "checklist" && step.item === null ? (
        <ul className={css.questions}>
          {(asked && placeOf(book, asked, step)?.section.items)?.map(({ id, title: question }) => (
            <li key={id}>{question}</li>
          ))}
        </ul>
      ) : (
        <p className={css.who}>
          {step.marking === "single" && first && who(first)}
          {step.marking === "single" && first && candidateDetails(notebook, first)?.sounds && (
            <small>{candidateDetails(notebook, first)?.sounds}</small>
          )}
        </p>
      )}

      <JudgesRow
        notebook={notebook}
        wave={wave}
        step={step}
        next={next ? title(next) : undefined}
      />

      <footer className={css.keys}>
        <Key onClick={() => call(steps[index - 1])} disabled={index === 0}>
          {say("back")}
        </Key>
        <Key onClick={() => call(step, true)}>{say("again")}</Key>
        <Key
          onClick={() => void notebook.write(book.floor.isPaused ? "resumed" : "paused", {})}
          pressed={book.floor.isPaused}
        >
          {say(book.floor.isPaused ? "go-on" : "pause")}
        </Key>
        {total > 1 && !isCounted && !mustSayRule ? (
          <Key
            kind="ink"
            className={css.main}
            under={say("count-hint")}
            onClick={pace.tap}
            disabled={book.floor.isPaused}
          >
            {say("count")}
          </Key>
        ) : next ? (
          <Key
            kind="ink"
            className={css.main}
            under={title(next)}
            onClick={() => call(next)}
            disabled={book.floor.isPaused || mustSayRule}
          >
            {say("next")}
          </Key>
        ) : (
          <Key
            kind="ink"
            className={css.main}
            under={say("wave-over-next")}
            onClick={() => setChoosing(true)}
          >
            {say("next-wave")}
          </Key>
        )}
        {total > 1 && !isCounted && (
          <Key
            className={css.skip}
            under={next ? title(next) : say("next-wave")}
            onClick={() => (next ? call(next) : setChoosing(true))}
          >
            {say("next")}
          </Key>
        )}
        <Key className={css.swap} onClick={() => setSwapping(true)}>
          {say("swap")}
        </Key>
        <StopKey large onStop={() => void stopFloor(notebook)} />
      </footer>
      {isSwapping && (
        <SwapDialog
          lanes={book.plan.lanes(wave)}
          who={who}
          onSwap={(candidates) => {
            const swap = swapOf(book.plan.lanes(wave), candidates);
            const { section, item, side } = book.floor.currentCall?.body ?? {};
            const call = section && { section, item: item ?? null, side: side ?? null };
            void notebook.write("lanes-swapped", { wave, ...swap, ...(call && { call }) });
          }}
          onClose={() => setSwapping(false)}
        />
      )}
    </main>
  );
}
