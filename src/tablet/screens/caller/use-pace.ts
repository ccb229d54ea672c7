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
  const latest = useRef({ now, say, total });
  latest.current = { now, say, total };

  const advance = (isBeating: boolean) => {
    const { now, say, total } = latest.current;
    if (now.count >= total) return;
    const count = now.count + 1;
    say(count);
    setState({ key: now.key, count, isBeating: isBeating && count < total });
  };

  useEffect(() => {
    if (!now.isBeating) return;
    const timer = setInterval(() => advance(true), beat * 1000);
    return () => clearInterval(timer);
    // biome-ignore lint/correctness/useExhaustiveDependencies: advance reads the latest state itself
  }, [now.isBeating, beat, key]);

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
