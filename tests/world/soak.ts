import { playDay } from "./day.ts";

// npm run soak                      ten thousand days
// npm run soak -- --days 100        so many
// npm run soak -- --seed 17         that one day again, exactly
const { days, first } = asked(process.argv.slice(2));
const begun = performance.now();
let failed = 0;
const sums = { entries: 0, frames: 0, closed: 0, open: 0, steps: 0, refused: 0 };
const troubles = new Map<string, number>();
for (let seed = first; seed < first + days; seed++) {
  const day = await playDay(seed);
  sums.entries += day.entries;
  sums.frames += day.frames;
  sums.steps += day.steps;
  sums.closed += Number(day.isClosed);
  sums.open += Number(day.isAllOpen);
  sums.refused += day.refused;
  for (const [name, count] of day.troubles) troubles.set(name, (troubles.get(name) ?? 0) + count);
  if (day.broken.length > 0) {
    failed++;
    console.log(
      `seed ${seed}:\n  ${day.broken.join("\n  ")}\n  again: npm run soak -- --seed ${seed}`,
    );
  }
  if (days === 1) console.log(day);
}
const seconds = (performance.now() - begun) / 1000;
console.log({ days, failed, seconds, daysASecond: days / seconds, ...sums, troubles });
process.exitCode = failed > 0 ? 1 : 0;

function asked(args: string[]): { days: number; first: number } {
  const figureAfter = (name: string) => {
    const at = args.indexOf(name);
    return at < 0 ? undefined : Number(args[at + 1]);
  };
  const seed = figureAfter("--seed");
  return { days: seed === undefined ? (figureAfter("--days") ?? 10_000) : 1, first: seed ?? 1 };
}
