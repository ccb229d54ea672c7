import { normalFrom } from "../../src/lab/normal.ts";
import { chanceFrom } from "../../src/ratings/statistics/chance.ts";

/** One normal value for each name, the same whenever it is asked for; of that standard deviation at the first time. */
export function effectsByChance(seed: number): (name: string, sd: number) => number {
  const normal = normalFrom(chanceFrom(seed));
  const known = new Map<string, number>();
  return (name, sd) => {
    let value = known.get(name);
    if (value === undefined) known.set(name, (value = sd * normal()));
    return value;
  };
}
