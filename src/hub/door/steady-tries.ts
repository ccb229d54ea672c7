import type { FastifyRateLimitStore, FastifyRateLimitStoreCtor } from "@fastify/rate-limit";
import type { Clock } from "../../ports/clock.ts";

/** Addresses of which tries are counted; beyond, whoever tried longest ago is forgotten. */
const MOST_ADDRESSES = 5_000;

/**
 * Where @fastify/rate-limit counts tries: by time that only grows. Its own store counts by the wall clock, and one that is set back an hour
 * locks everybody out for that hour.
 */
export function steadyTries(clock: Clock): FastifyRateLimitStoreCtor {
  return class SteadyTries implements FastifyRateLimitStore {
    readonly #tries = new Map<string, { current: number; sinceMs: number }>();

    incr(
      key: string,
      callback: (error: Error | null, result?: { current: number; ttl: number }) => void,
      timeWindow: number,
    ): void {
      const nowMs = clock.steadyMs();
      const before = this.#tries.get(key);
      const isOver = !before || nowMs - before.sinceMs >= timeWindow;
      const now = isOver
        ? { current: 1, sinceMs: nowMs }
        : { current: before.current + 1, sinceMs: before.sinceMs };
      this.#tries.delete(key);
      this.#tries.set(key, now);
      const oldest = this.#tries.keys().next().value;
      if (this.#tries.size > MOST_ADDRESSES && oldest !== undefined) this.#tries.delete(oldest);
      callback(null, { current: now.current, ttl: timeWindow - (nowMs - now.sinceMs) });
    }
    child(): FastifyRateLimitStore {
      return new SteadyTries();
    }
  };
}
