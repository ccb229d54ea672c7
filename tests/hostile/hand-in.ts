import { chance as chanceOf, seedOf } from "../../src/demo/chance.ts";
import { type Target, targets } from "./targets.ts";

/** What came of handing in hostile inputs. */
export interface HandedIn {
  inputs: number;
  /** By way in: so many were refused in words, so many accepted and found sound. */
  ways: Record<string, { refused: number; accepted: number; slowestMs: number }>;
  /** What threw, or was accepted and is not sound, with the input's number: `npm run soak -- hostile --seed S --only N` gives it again. */
  failures: string[];
  /** Of this process at its height, megabytes. */
  peakMegabytes: number;
}

/** An input that takes longer holds up a hall; regular expressions that run away take seconds. */
const TOO_SLOW_MS = 2000;

/**
 * Hands in so many generated inputs, each of its own seed, mutations of valid ones.
 * @param only  the number of one input, to see it again.
 */
export async function handIn(
  { inputs, seed, only }: { inputs: number; seed: number; only?: number },
  say: (done: number) => void = () => undefined,
): Promise<HandedIn> {
  const all = targets();
  const ways = Object.fromEntries(
    all.map(({ name }) => [name, { refused: 0, accepted: 0, slowestMs: 0 }]),
  );
  const failures: string[] = [];
  let peak = 0;
  for (let at = only ?? 0; at < (only === undefined ? inputs : only + 1); at++) {
    const chance = chanceOf(seedOf(seed, at));
    const { name, tries } = pick(all, chance.share());
    const way = ways[name] as (typeof ways)[string];
    const begun = performance.now();
    try {
      way[await tries(chance)]++;
    } catch (error) {
      failures.push(`${name}, input ${at}: ${error instanceof Error ? error.message : error}`);
    }
    const tookMs = performance.now() - begun;
    way.slowestMs = Math.max(way.slowestMs, tookMs);
    if (tookMs > TOO_SLOW_MS) failures.push(`${name}, input ${at}: took ${Math.round(tookMs)} ms`);
    if (at % 2000 === 0) {
      peak = Math.max(peak, process.memoryUsage().rss);
      say(at);
    }
  }
  if (Object.keys(Object.prototype).length > 0 || "polluted" in {})
    failures.push("Object.prototype was changed");
  return { inputs, ways, failures, peakMegabytes: Math.round(peak / 1e6) };
}

function pick(all: readonly Target[], share: number): Target {
  let left = share;
  for (const target of all) {
    left -= target.share;
    if (left < 0) return target;
  }
  return all[0] as Target;
}
