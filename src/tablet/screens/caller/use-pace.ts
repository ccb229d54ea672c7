import { useEffect, useRef, useState } from "react";

export interface Pace {
  count: number;
  isBeating: boolean;
  /** Seconds from count to count. */
  beat: number;
  tap: () => void;
  toggleBeat: () => void;
  setBeat: (seconds: number) => void;
}

const SLOWEST = 4;
const FASTEST = 0.6;

/**
 * The count of the step on the floor: tapped, or run by a steady beat, which stops by itself at the last count.
 * @param key names the step; the count starts again with every new one.
 */
export function usePace(key: string, total: number, say: (count: number) => void): Pace {
  const [state, setState] = useState({ key, count: 0, isBeating: false });
  const [beat, setBeat] = useState(1.5);
  const now = state.key === key ? state : { key, count: 0, isBeating: false };
  const advance = (isBeating: boolean) => {
    if (now.count >= total) return;
    const count = now.count + 1;
    say(count);
    setState({ key, count, isBeating: isBeating && count < total });
  };
  const latest = useRef(advance);
  useEffect(() => {
    latest.current = advance;
  });

  const { isBeating } = now;
  useEffect(() => {
    if (!isBeating) return;
    const timer = setInterval(() => latest.current(true), beat * 1000);
    return () => clearInterval(timer);
  }, [isBeating, beat]);

  return {
    count: now.count,
    isBeating: now.isBeating,
    beat,
    tap: () => advance(now.isBeating),
    toggleBeat: () => {
      if (now.isBeating) setState({ ...now, isBeating: false });
      else advance(true);
    },
    setBeat: (seconds) =>
      setBeat(Math.min(SLOWEST, Math.max(FASTEST, Math.round(seconds * 10) / 10))),
  };
}
