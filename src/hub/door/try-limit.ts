import { FaultError } from "../../book/faults.ts";
import type { Clock } from "../../ports/clock.ts";
import type { OpensTo } from "./doorkeeper.ts";
import { TokenBucket } from "./token-bucket.ts";

/** How often one address may try a key or a code. For a route's options; @fastify/rate-limit reads it. */
export interface TryLimit {
  config: {
    rateLimit: {
      max: number;
      timeWindow: number;
      errorResponseBuilder: (request: unknown, context: { ttl: number }) => Error;
    };
  };
}
export function tryLimit(aMinute: number): TryLimit {
  return {
    config: {
      rateLimit: {
        max: aMinute,
        timeWindow: 60_000,
        errorResponseBuilder: (_request, { ttl }) =>
          new FaultError({ code: "TOO_MANY_TRIES", with: { seconds: Math.ceil(ttl / 1000) } }),
      },
    },
  };
}

/** A door that opens to somebody, and how often an address may knock at it. */
export const withLimit = (opensTo: OpensTo, { config }: TryLimit) => ({
  config: { ...config, opensTo },
});

/** Wrong keys and codes at once, from everywhere together; then so many a second. A hall that mistypes stays far below. */
const WRONG = { most: 120, aSecond: 0.5 };

/**
 * Guessing slowed down, however many addresses it comes from: at 30 wrong tries a minute a code of six letters, one of 244 million, takes seven years on average.
 * Right tries cost nothing. While somebody guesses nobody new comes in; whoever is in notices nothing.
 */
export class WrongTries {
  readonly #clock: Clock;
  readonly #left: TokenBucket;

  constructor(clock: Clock) {
    this.#clock = clock;
    this.#left = new TokenBucket(WRONG.most, WRONG.aSecond, clock.steadyMs());
  }

  /** Tries something secret. Paid for before it is known whether it is right: many tries at one moment are many tries. @throws FaultError TOO_MANY_TRIES. */
  async try<T>(secret: () => Promise<T>): Promise<T> {
    if (!this.#left.take(1, this.#clock.steadyMs()))
      throw new FaultError({
        code: "TOO_MANY_TRIES",
        with: { seconds: Math.ceil(1 / WRONG.aSecond) },
      });
    try {
      const opened = await secret();
      this.#left.giveBack(1);
      return opened;
    } catch (error) {
      const isGuess =
        error instanceof FaultError && ["CODE_WRONG", "KEY_WRONG"].includes(error.fault.code);
      if (!isGuess) this.#left.giveBack(1);
      throw error;
    }
  }
}
