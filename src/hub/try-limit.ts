import { FaultError } from "../core/faults.ts";

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
