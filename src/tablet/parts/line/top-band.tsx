import { type CSSProperties, memo } from "react";
import judgeWords from "../../../words/en/judge.json" with { type: "json" };
import { CountStrokes } from "../count-strokes.tsx";
import { JapaneseName } from "../japanese-name.tsx";
import { Key } from "../key.tsx";
import { StopKey } from "../stop-key.tsx";
import { useSay } from "../use-say.ts";
import { FlipKey } from "./flip-key.tsx";
import css from "./top-band.module.css";

interface TopBandProps {
  /** The item, or what is marked now: "Overall, basics". */
  title: string;
  alias?: string | undefined;
  /** The name in its own script. */
  script?: string | undefined;
  side?: "left" | "right" | null | undefined;
  /** Absent where nothing is counted. */
  counts?: { done: number; total: number; running: boolean } | undefined;
  /** "waiting" when the tablet's disk has not answered; "saving" for the moment before that is worth a word. */
  saved: "saved" | "saving" | "waiting";
  /** Lines that only this tablet holds while no hub is in reach; absent where one is, or where none is meant to be. */
  heldHere?: number | undefined;
  /** Calls left with blanks. */
  stillOpen?: { call: string; calls: number; blank: number } | undefined;
  /** The call that waits until the hand is off the board: "low block, right". */
  next?: string | undefined;
  /** The call shown is not the one on the floor: the band is turned to ink. */
  earlier?: boolean | undefined;
  /** The call shown is still to come: nobody has shown anything yet. */
  ahead?: boolean | undefined;
  flipped?: boolean | undefined;
  handed?: "right" | "left" | undefined;
  onStop: () => void;
  onFlip?: (() => void) | undefined;
  onNext?: (() => void) | undefined;
  onBackToNow?: (() => void) | undefined;
  onCalls?: (() => void) | undefined;
}

/** Nothing the band says has changed: a tap on the board draws no band. Objects are plain values, one deep. */
function isSameBand(before: TopBandProps, now: TopBandProps): boolean {
  const keys = new Set([...Object.keys(before), ...Object.keys(now)]) as Set<keyof TopBandProps>;
  return [...keys].every((key) => isSameValue(before[key], now[key]));
}
function isSameValue(a: unknown, b: unknown): boolean {
  if (Object.is(a, b)) return true;
  if (typeof a !== "object" || typeof b !== "object" || a === null || b === null) return false;
  const [one, other] = [Object.entries(a), b as Record<string, unknown>];
  return (
    one.length === Object.keys(b).length &&
    one.every(([key, value]) => Object.is(value, other[key]))
  );
}

/**
 * What is being marked, and everything that is not a mark. STOP stands in the corner away from the marking hand,
 * with words and no other key beside it, so that no hand on its way to a mark passes over it.
 */
export const TopBand = memo(function TopBand(props: TopBandProps) {
  const { title, alias, script, side, counts, saved, stillOpen, next, earlier = false } = props;
  const say = useSay(judgeWords);
  const fit = title.length <= 16 ? "short" : title.length <= 26 ? "long" : "longest";
  return (
    <header
      className={css.root}
      data-earlier={earlier || undefined}
      data-hand={props.handed ?? "right"}
    >
      <StopKey onStop={props.onStop} />
      <div className={css.call}>
        <h1 data-fit={fit} style={{ "--letters": title.length } as CSSProperties}>
          {title}
        </h1>
        <p>
          {alias !== undefined && <em>{alias}</em>}
          {script !== undefined && <JapaneseName>{script}</JapaneseName>}
          {side && <strong>{say(side)}</strong>}
        </p>
      </div>
      <div className={css.state}>
        {earlier || props.ahead ? (
          <strong className={css.earlier}>{say(props.ahead ? "notCalled" : "earlierCall")}</strong>
        ) : (
          counts && <CountStrokes {...counts} />
        )}
        <p aria-live="polite" data-saved={saved}>
          {saved === "waiting" ? (
            <strong>{say("notSaved")}</strong>
          ) : (
            <>
              {counts && !earlier && (
                <span>
                  {counts.done >= counts.total && !counts.running
                    ? say("countsDone", { total: counts.total })
                    : say("counts", counts)}
                </span>
              )}
              {props.heldHere === undefined ? (
                <span>{say(saved)}</span>
              ) : (
                <strong>{say("heldHere", { count: props.heldHere })}</strong>
              )}
            </>
          )}
        </p>
      </div>
      <div className={css.cards}>
        {!stillOpen && props.onCalls && (
          <Key kind="quiet" className={css.card} onClick={props.onCalls}>
            {say("calls")}
          </Key>
        )}
        {stillOpen && (
          <Key
            className={css.card}
            onClick={props.onCalls}
            under={
              <>
                <span className={css.cardCall}>
                  {stillOpen.calls === 1
                    ? stillOpen.call
                    : say("stillOpenCalls", { calls: stillOpen.calls })}
                  {" ·"}
                </span>{" "}
                {say("blankCount", { count: stillOpen.blank })}
              </>
            }
          >
            {say("stillOpen")}
          </Key>
        )}
        {next !== undefined && (
          <Key
            className={`${css.card} ${css.next}`}
            onClick={props.onNext}
            aria-label={say("nextNow", { call: next })}
            under={next}
          >
            {say("next")}
          </Key>
        )}
        {earlier && props.onBackToNow && (
          <Key className={`${css.card} ${css.back}`} onClick={props.onBackToNow}>
            {say("backToNow")}
          </Key>
        )}
      </div>
      {props.onFlip && <FlipKey flipped={props.flipped ?? false} onFlip={props.onFlip} />}
    </header>
  );
}, isSameBand);
