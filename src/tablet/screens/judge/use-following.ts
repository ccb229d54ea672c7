import { useCallback, useEffect, useRef, useState } from "react";
import { type JudgeCall, sameBoard } from "../../../belt-test/planning/judge-calls.ts";
import { stepKey } from "../../../belt-test/script/script.ts";

/** Untouched for this long at count one, the board follows the call. */
const IDLE_MS = 1200;

export interface Following {
  /** Whose children are on the screen: a place is a wave and a call of it, for the calls of two waves bear the same names. */
  wave: number;
  /** The board on the screen. */
  shown: JudgeCall | undefined;
  /** A call that waits until the hand is off the board. */
  next: JudgeCall | undefined;
  /** Of the call on the floor, other children who wait on a board beside the one that is shown. */
  beside: JudgeCall | undefined;
  /** The judge opened a call other than the one on the floor, and is not following. */
  isEarlier: boolean;
  /** Turns to another wave: away from the floor, unless it is the one there. */
  look: (wave: number) => void;
  /** Opens a call out of turn, of this wave or of another: nothing is followed until `backToNow`. */
  open: (call: JudgeCall, of?: number) => void;
  /** Steps on with no caller in reach: the next call that is heard is followed again. */
  stepOn: (call: JudgeCall) => void;
  takeNext: () => void;
  backToNow: () => void;
  /** Tells that the hand touched the board. */
  touched: () => void;
}

interface Place {
  wave: number;
  key: JudgeCall["key"] | undefined;
}

interface FollowingInput {
  callsOf: (wave: number) => readonly JudgeCall[];
  /** Where a wave stands: its first board of what was called last. */
  calledIn: (wave: number) => JudgeCall | undefined;
  /** On the floor; before the first call, the first there is. */
  floorWave: number;
  /** The count on the floor of the live call; 0 before the first. */
  count: number;
  /** No caller is in reach, or none has called yet. */
  isAlone: boolean;
  isClosed: (call: JudgeCall) => boolean;
  nowMs: () => number;
}

/**
 * Which board a judge sees. Nothing changes under a finger: a new call waits as a card while cells are blank, and is taken
 * when the line is closed, when the card is tapped, or at count one if the board was not touched for a moment.
 * A judge may open any earlier call, and step on alone when nobody calls.
 */
export function useFollowing(input: FollowingInput): Following {
  const { callsOf, calledIn, floorWave, count, isAlone, isClosed, nowMs } = input;
  const live = calledIn(floorWave);
  // Of the call, whichever of its boards stands first.
  const liveKey = live && `${floorWave} ${stepKey(live.step)}`;
  const [place, show] = useState<Place>({ wave: floorWave, key: live?.key });
  /** Whoever opened a call by hand, and what was called then: away from the floor until `back`, or until it calls on. */
  const [own, setOwn] = useState<{ call: "earlier" | "ahead"; live: string | undefined }>();
  const isAhead = own?.call === "ahead" && own.live === liveKey;
  const isEarlier = own?.call === "earlier" || (isAhead && !isAlone);
  const lastTouch = useRef(0);
  const touched = useCallback(() => {
    lastTouch.current = nowMs();
  }, [nowMs]);
  // Where nothing was shown yet, the floor's wave is meant.
  const wave = place.key === undefined && !own ? floorWave : place.wave;
  const isOnFloor = wave === floorWave;
  const calls = callsOf(wave);
  const shown = calls.find(({ key }) => key === place.key);
  const follow = (call: JudgeCall | undefined) => {
    show({ wave: floorWave, key: call?.key });
    setOwn(undefined);
  };

  // What else is asked at the call on the floor follows of its own accord: children of another scale, or the overall judgements at the close of a section.
  const isLive = isOnFloor && live !== undefined && shown?.index === live.index;
  const boards = callsOf(floorWave).filter(({ index }) => index === live?.index);
  const waiting = boards.filter((one) => one.step.asked && !isClosed(one));
  const same = isOnFloor ? boards.find((one) => shown && sameBoard(shown, one)) : undefined;
  const target = isLive ? (isClosed(shown) && waiting[0]) || shown : (same ?? live);
  const isThere = isOnFloor && shown !== undefined && shown.key === target?.key;

  const isFree =
    shown === undefined ||
    shown.watched.length === 0 ||
    isClosed(shown) ||
    (count >= 1 && nowMs() - lastTouch.current > IDLE_MS);
  const mayFollow =
    target !== undefined && !isEarlier && !isAhead && !isThere && (target === same || isFree);

  const targetKey = target?.key;
  useEffect(() => {
    if (!mayFollow) return;
    show({ wave: floorWave, key: targetKey });
    setOwn(undefined);
  }, [mayFollow, floorWave, targetKey]);

  return {
    wave,
    shown: shown ?? calledIn(wave) ?? calls[0],
    next: !isEarlier && !isAhead && !isThere && !mayFollow ? target : undefined,
    beside:
      isLive && !isEarlier
        ? waiting.find((one) => one !== shown && one.part === "cells")
        : undefined,
    isEarlier: isEarlier && (!isOnFloor || (shown !== undefined && shown.key !== target?.key)),
    look: (chosen) => {
      if (chosen === floorWave) return follow(target);
      show({ wave: chosen, key: undefined });
      setOwn({ call: "earlier", live: liveKey });
    },
    open: (call, of = wave) => {
      show({ wave: of, key: call.key });
      // One that is closed already is not left for another of the same call.
      const isNow =
        of === floorWave &&
        (live === undefined ||
          (call.index === live.index && !(isClosed(call) && waiting.length > 0)));
      setOwn(isNow ? undefined : { call: "earlier", live: liveKey });
    },
    stepOn: (call) => {
      show({ wave, key: call.key });
      setOwn({ call: "ahead", live: liveKey });
    },
    takeNext: () => follow(target),
    backToNow: () => follow(target),
    touched,
  };
}
