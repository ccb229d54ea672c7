import type { GradingId } from "../../../book/identity.ts";
import type { TabletStore } from "../../../ports/tablet-store.ts";

export interface Held {
  grading: GradingId;
  count: number;
}

/** Belt tests of which lines lie under this address that no hub has: a browser keeps them apart from those of any other address. */
export async function heldHere(store: Pick<TabletStore, "passes" | "outbox">): Promise<Held[]> {
  const passes = (await store.passes()).filter(({ token }) => token !== undefined);
  const counted = await Promise.all(
    passes.map(async ({ grading }) => ({
      grading,
      count: (await store.outbox(grading)).entries.length,
    })),
  );
  return counted.filter(({ count }) => count > 0);
}
