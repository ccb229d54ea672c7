import { describe, expect, it } from "vitest";
import { playAwayDay } from "./away-days.ts";

/** As many as fit into some seconds of one core; more by hand: AWAY_DAYS=500 AWAY_SEED=1000 npx vitest run --project core tests/world/away-days.test.ts */
const { AWAY_DAYS, AWAY_SEED } = process.env;
const DAYS = Number(AWAY_DAYS ?? 12);
const FIRST = Number(AWAY_SEED ?? 1);
const MOST_MS = 60_000 + DAYS * 2_000;
const seeds = Array.from({ length: DAYS }, (_, at) => FIRST + at);
const ways = ["line", "import"] as const;

interface Words {
  candidate: string;
  computed: string;
  score: unknown;
  doubt: string | null;
  questions: readonly string[];
}
const read = (words: string | undefined) => JSON.parse(words ?? "{}") as Words;

describe(`${DAYS} random days with a hub that goes away, on which the chief opens and decides by files`, () => {
  it.each(ways)(
    "[L143] say of every child what the chief's page said, when all of it has come by %s",
    async (way) => {
      for (const seed of seeds) {
        const { page, hub, refused } = await playAwayDay(seed, way);
        expect([seed, refused, hub]).toEqual([seed, [], page]);
      }
    },
    MOST_MS,
  );

  it.each(ways)(
    "[L143] tell, also where judges went on behind that, what came to count otherwise by %s",
    async (way) => {
      for (const seed of seeds) {
        const { page, hub, refused } = await playAwayDay(seed, way, true);
        for (const [at, words] of page.entries()) {
          const [before, now] = [read(words), read(hub[at])];
          if (before.computed === now.computed) continue;
          const isAsked = now.questions.some((one) => one.includes('"isSettled":false'));
          const isTold = now.doubt !== null || isAsked || refused.includes("verdict");
          expect([seed, now.candidate, isTold]).toEqual([seed, now.candidate, true]);
        }
      }
    },
    MOST_MS,
  );

  it.runIf(AWAY_DAYS === undefined)("have in them what a chief does by files", async () => {
    const days = await Promise.all(seeds.map((seed) => playAwayDay(seed, "line")));
    const kinds = days.flatMap(({ written }) => written.map(({ kind }) => kind as string));
    for (const kind of ["revealed", "judge-replaced", "held-at-giving", "verdict", "closed"])
      expect([kind, kinds.filter((one) => one === kind).length > DAYS / 4]).toEqual([kind, true]);
  });
});
