import { handIn } from "./hand-in.ts";

/*
 * Hostile inputs by hand: `npx tsx tests/hostile/soak-hostile.ts [inputs] [seed] [one input's number]`.
 * The same is a part of `npm run soak`; this one also shows a failing input again by its number.
 */
const [inputs = 1_000_000, seed = 1, only] = process.argv.slice(2).map(Number);
const begun = performance.now();
const { ways, failures, peakMegabytes } = await handIn(
  { inputs, seed, ...(only === undefined ? {} : { only }) },
  (done) => process.stderr.write(`\r${done}`),
);
console.table(ways);
for (const failure of failures) console.log(failure);
const seconds = Math.round((performance.now() - begun) / 1000);
console.log(`seed ${seed}, ${failures.length} failures, ${peakMegabytes} MB at most, ${seconds} s`);
process.exitCode = failures.length === 0 ? 0 : 1;
