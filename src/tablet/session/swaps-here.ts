import * as z from "zod/mini";
import { Basis } from "../../belt-test/kinds/body-parts.ts";
import { basisFor, deviceOf } from "../../belt-test/scorebook/counts.ts";
import type { EntryOf } from "../../belt-test/scorebook/entry.ts";
import { sectionsEver } from "../../belt-test/scorebook/one-count.ts";
import type { Scorebook } from "../../belt-test/scorebook/scorebook.ts";
import type { DeviceId, EntryId } from "../../book/identity.ts";

/** More than a day has; the oldest go. */
const MOST = 200;

/** A list that is kept in this browser. Where nothing can be kept it is as long as the page. */
function listAt<Item>(key: string, item: z.ZodMiniType<Item>) {
  const read = (): readonly Item[] => {
    try {
      const found = z.array(item).safeParse(JSON.parse(localStorage.getItem(key) ?? "[]"));
      return found.success ? found.data : [];
    } catch {
      return [];
    }
  };
  return {
    read,
    keep(items: readonly Item[]): void {
      try {
        localStorage.setItem(key, JSON.stringify([...read(), ...items].slice(-MOST)));
      } catch {
        // The question comes again when the screen does.
      }
    },
  };
}
const answered = listAt("evenhand-answered-swaps", z.string());
const heard = listAt("evenhand-heard-swaps", z.object({ swap: z.string(), written: Basis }));

/** Swaps of lanes about which a judge has said on this device that the marks are right as they are. */
export const answeredSwaps = answered.read;
export const keepAnsweredSwaps = answered.keep;

/** Of each swap of lanes what this device had written of the two children when it heard of it. */
export const heardSwaps = (): ReadonlyMap<EntryId, Basis> =>
  new Map(heard.read().map(({ swap, written }) => [swap as EntryId, written]));

/** Notes it of those that are new here; to be asked before anything is marked on the new names. @returns those */
export function noteHeardSwaps(
  book: Scorebook,
  device: DeviceId,
  swaps: readonly EntryOf<"lanes-swapped">[],
): readonly EntryOf<"lanes-swapped">[] {
  const known = heardSwaps();
  const news = swaps.filter(({ id }) => !known.has(id));
  heard.keep(
    news.map(({ id, body: { candidates } }) => {
      const places = candidates.flatMap((candidate) =>
        sectionsEver(book.plan).map((section) => ({ candidate, section })),
      );
      const own = Object.entries(basisFor(book.basis, places)).filter(
        ([count]) => deviceOf(count) === device,
      );
      return { swap: id, written: Object.fromEntries(own) as Basis };
    }),
  );
  return news;
}
