import type { ASender } from "./a-sender.ts";

/** What came of killing hubs again and again while tablets write. Counts of entries. */
export interface Killed {
  kills: number;
  written: number;
  /** Acknowledged to a tablet at any time. */
  acknowledged: number;
  stored: number;
  /** Acknowledged and not stored. */
  lost: number;
  /** Stored more than once. */
  doubled: number;
  /** Refused, which nothing here should be. */
  refused: number;
  /** Lines closed before a welcome. */
  hungUpOn: number;
  isChainSound: boolean;
}

/** @param stored ids as they lie in the store, in their order. */
export function counted(
  senders: readonly ASender[],
  stored: readonly string[],
): Omit<Killed, "kills" | "written" | "isChainSound"> {
  const acknowledged = senders.flatMap((sender) => [...sender.acknowledged]);
  const once = new Set(stored);
  return {
    acknowledged: acknowledged.length,
    stored: once.size,
    lost: acknowledged.filter((id) => !once.has(id)).length,
    doubled: stored.length - once.size,
    refused: senders.reduce((sum, { refused }) => sum + refused.length, 0),
    hungUpOn: senders.reduce((sum, { hungUpOn }) => sum + hungUpOn, 0),
  };
}
