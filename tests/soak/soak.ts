import { cpus } from "node:os";
import { APostgres } from "../builders/a-postgres.ts";
import { handIn } from "../hostile/hand-in.ts";
import { playDays } from "../world/play-days.ts";
import { playLyingDays } from "../world/play-lying-days.ts";
import { killHubs } from "./kill-hubs.ts";
import { killPostgresHubs } from "./kill-postgres-hubs.ts";
import { killTaps } from "./kill-taps.ts";
import { carry } from "./load.ts";
import { markForHours } from "./mark-for-hours.ts";

// npm run soak [-- part …] [--seed N] [--days N] [--inputs N] [--only N]: the long runs; a sample of each is among the tests. Prints counts, and ends with 1 when something was lost.
const seed = Number(/--seed[ =](\d+)/.exec(process.argv.join(" "))?.[1] ?? Date.now() % 1e6);
const days = Number(/--days[ =](\d+)/.exec(process.argv.join(" "))?.[1] ?? 10_000);
const inputs = Number(/--inputs[ =](\d+)/.exec(process.argv.join(" "))?.[1] ?? 1_000_000);
/** One hostile input by its number, to see it again. */
const [, only] = /--only[ =](\d+)/.exec(process.argv.join(" ")) ?? [];
const turn = (what: string) => (done: number) =>
  void process.stderr.write(`\r${what} ${Math.round(done)} `);

interface Part {
  what: string;
  /** Figures to print; whatever stands under `lost` and `doubled` must be none. */
  run: () => Promise<object>;
}
const parts: Record<string, Part> = {
  days: {
    what: `${days} simulated test days, from seed ${seed} on`,
    run: async () => {
      const played = await playDays({ days, first: seed }, turn("days"));
      return { ...played, lost: played.failed, doubled: 0 };
    },
  },
  liars: {
    what: `${days} days on which somebody in the hall lies, from seed ${seed} on`,
    run: async () => {
      const played = await playLyingDays({ days, first: seed }, turn("days"));
      return { ...played, lost: played.failed, doubled: 0 };
    },
  },
  hubs: {
    what: "a hub killed 200 times while five tablets write",
    run: () => killHubs({ kills: 200, seed }, turn("killed")),
  },
  neighbours: {
    what: "one or the other of two hubs on one PostgreSQL killed 200 times while six tablets write",
    run: async () => {
      const server = await APostgres.start();
      try {
        const store = await server.database("hall");
        return await killPostgresHubs({ store, kills: 200, seed }, turn("killed"));
      } finally {
        await server.stop();
      }
    },
  },
  taps: {
    what: "a judge's browser killed 50 times in the middle of a tap",
    run: () => killTaps({ kills: 50, seed }, turn("killed")),
  },
  hours: {
    what: "four hours of a judge's marking, 7,200 taps, the first quarter beside the last",
    run: () => markForHours({ taps: 7200 }, turn("taps")),
  },
  hostile: {
    what: `${inputs} hostile frames, entries, rubrics, rosters, scorebooks and packs`,
    run: async () => {
      const came = await handIn(
        { inputs, seed, ...(only === undefined ? {} : { only: Number(only) }) },
        turn("inputs"),
      );
      return { ...came, lost: came.failures, doubled: 0 };
    },
  },
  hall: {
    what: "100 tablets, ten minutes at a hall's pace",
    run: () => carry({ seconds: 600, times: 1 }, turn("seconds")),
  },
  halls: {
    what: "100 tablets, ten minutes at ten times a hall's pace",
    run: () => carry({ seconds: 600, times: 10 }, turn("seconds")),
  },
};

const chosen = process.argv.slice(2).filter((name) => Object.hasOwn(parts, name));
console.log(
  `${new Date().toISOString().slice(0, 10)} · ${cpus()[0]?.model.trim()} × ${cpus().length} · Node ${process.version} · seed ${seed}\n`,
);
let isWhole = true;
for (const name of chosen.length > 0 ? chosen : Object.keys(parts)) {
  const { what, run } = parts[name] as Part;
  const figures = await run();
  process.stderr.write("\r                    \r");
  console.log(`${name}: ${what}`, figures, "\n");
  const { lost, doubled } = figures as { lost: number | string[]; doubled: number };
  isWhole &&= (Array.isArray(lost) ? lost.length : lost) === 0 && doubled === 0;
}
console.log(isWhole ? "nothing lost, nothing doubled" : "LOST OR DOUBLED");
process.exit(isWhole ? 0 : 1);
