import { useCallback, useEffect, useRef, useState } from "react";
import { type JudgeCall, sameBoard } from "../../../core/planning/judge-calls.ts";

/** Untouched for this long at count one, the board follows the call. */
const IDLE_MS = 1200;

export interface Following {
  /** The board on the screen. */
  shown: JudgeCall | undefined;
  /** A call that waits until the hand is off the board. */
  next: JudgeCall | undefined;
  /** The judge opened a call other than the one on the floor, and is not following. */
  isEarlier: boolean;
  /** Opens a call out of turn: nothing is followed until `backToNow`. */
  open: (call: JudgeCall) => void;
  /** Steps on with no caller in reach: the next call that is heard is followed again. */
  stepOn: (call: JudgeCall) => void;
  takeNext: () => void;
  backToNow: () => void;
  /** Tells that the hand touched the board. */
  touched: () => void;
}

interface FollowingInput {
  calls: readonly JudgeCall[];
  /** The first board of what is called on the floor; undefined before the first call. */
  live: JudgeCall | undefined;
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
  const { calls, live, count, isAlone, isClosed, nowMs } = input;
  const [shownKey, show] = useState<string | undefined>(live?.key);
  /** Whoever opened a call by hand, and what was called then: away from the floor until `back`, or until it calls on. */
  const [own, setOwn] = useState<{ call: "earlier" | "ahead"; live: string | undefined }>();
  const isAhead = own?.call === "ahead" && own.live === live?.key;
  const isEarlier = own?.call === "earlier" || (isAhead && !isAlone);
  const lastTouch = useRef(0);
  const touched = useCallback(() => {
    lastTouch.current = nowMs();
  }, [nowMs]);
  const shown = calls.find(({ key }) => key === shownKey);
  const follow = (call: JudgeCall | undefined) => {
    show(call?.key);
    setOwn(undefined);
  };

  // At the close of a section the overall judgements follow the criteria of their own accord.
  const after =
    shown && shown.part === "cells"
      ? calls.find(({ key }) => key === `${shown.key}#overall`)
      : undefined;
  const target = live && after && shown && live.key === shown.key && isClosed(shown) ? after : live;
  const isThere =
    shown !== undefined &&
    target !== undefined &&
    (shown.key === target.key || (shown.part === "overall" && shown.index === target.index));

  const isSame = shown !== undefined && target !== undefined && sameBoard(shown, target);
  const isFree =
    shown === undefined ||
    shown.watched.length === 0 ||
    isClosed(shown) ||
    (count >= 1 && nowMs() - lastTouch.current > IDLE_MS);
  const mayFollow =
    target !== undefined && !isEarlier && !isAhead && !isThere && (isSame || isFree);

  const targetKey = target?.key;
  useEffect(() => {
    if (!mayFollow) return;
    show(targetKey);
    setOwn(undefined);
  }, [mayFollow, targetKey]);

  return {
    shown: shown ?? live ?? calls[0],
    next: !isEarlier && !isAhead && !isThere && !mayFollow ? target : undefined,
    isEarlier: isEarlier && shown !== undefined && shown.key !== target?.key,
    open: (call) => {
      show(call.key);
      const isThere = live === undefined || call.index === live.index;
      setOwn(isThere ? undefined : { call: "earlier", live: live.key });
    },
    stepOn: (call) => {
      show(call.key);
      setOwn({ call: "ahead", live: live?.key });
    },
    takeNext: () => follow(target),
    backToNow: () => follow(target),
    touched,
  };
}
