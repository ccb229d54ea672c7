import { cpus } from "node:os";
import { benchAggregation } from "./aggregation-bench.ts";
import { benchComponents } from "./components-bench.ts";
import { benchCore } from "./core-bench.ts";
import { benchHub } from "./hub-bench.ts";
import type { Measured } from "./measure.ts";
import { benchPostgres } from "./postgres-bench.ts";
import { benchSync } from "./sync-bench.ts";
import { benchTablet } from "./tablet-bench.ts";

// npm run bench [core|aggregation|components|hub|sync|postgres|tablet …]: prints what was measured beside its goal.
const parts: Record<string, () => Measured[] | Promise<Measured[]>> = {
  core: benchCore,
  aggregation: benchAggregation,
  components: benchComponents,
  hub: benchHub,
  sync: benchSync,
  postgres: benchPostgres,
  tablet: benchTablet,
};
const chosen = process.argv.slice(2).filter((name) => Object.hasOwn(parts, name));
console.log(
  `${new Date().toISOString().slice(0, 10)} · ${cpus()[0]?.model.trim()} × ${cpus().length} · Node ${process.version}\n`,
);
for (const name of chosen.length > 0 ? chosen : Object.keys(parts)) {
  const part = parts[name];
  if (!part) continue;
  process.stderr.write(`measuring ${name} …\n`);
  for (const { what, value, unit, goal, how } of await part()) {
    const shown =
      value >= 100 ? value.toFixed(0) : value >= 10 ? value.toFixed(1) : value.toFixed(2);
    const verdict = goal === undefined ? "" : value <= goal ? "reached" : "MISSED";
    const aim = goal === undefined ? "" : `goal ≤ ${goal} ${unit}`;
    console.log(
      `${verdict.padEnd(8)}${what.padEnd(54)}${shown.padStart(8)} ${unit.padEnd(2)}  ${aim.padEnd(16)}${how}`,
    );
  }
}
