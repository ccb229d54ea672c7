import {
  type EffectName,
  type JudgeEffects,
  judgeEffects,
} from "../ratings/effects/judge-effects.ts";
import { type Day, dayOf, type OddWays } from "./day.ts";
import type { Design } from "./designs.ts";
import { markedCells } from "./scored.ts";
import { CELLS, CRITERIA, JUDGE } from "./setting.ts";

/** A way of judging that should be found, and how it is done. */
export interface Oddity {
  name: string;
  effect: EffectName | "flat";
  ways: (replicate: number, design: Design) => OddWays;
}

/** The odd judge is the first. */
const ODD = 0;
const same = (impression: number) => impression;
const PULLED = 0.4;
const MIDDLE = 2;
export const oddities: readonly Oddity[] = [
  { name: "flat", effect: "flat", ways: () => ({ judge: ODD, change: () => 3 }) },
  {
    name: "compressed, slope .4",
    effect: "compressed",
    ways: () => ({
      judge: ODD,
      change: (impression) => MIDDLE + PULLED * (impression - MIDDLE),
    }),
  },
  {
    name: "severe or lenient by 3 sd",
    effect: "severity",
    ways: (replicate) => ({
      judge: ODD,
      change: same,
      severity: (replicate % 2 ? 3 : -3) * JUDGE.severity,
    }),
  },
  {
    name: "own students +.5",
    effect: "own-students",
    ways: (_, { judges }) => ({
      judge: ODD,
      change: (impression, candidate) => impression + (candidate % judges === ODD ? 0.5 : 0),
    }),
  },
];

export interface OddFound {
  design: Design;
  candidates: number;
  replicates: number;
  /** By replicate: 1 where an ordinary panel rang any alarm. */
  falseAlarm: Float64Array;
  /** By oddity and replicate: 1 where the odd judge was found for what it is. */
  found: ReadonlyMap<string, Float64Array>;
}

export function oddFound(
  design: Design,
  candidates: number,
  replicates: number,
  seed: number,
): OddFound {
  const falseAlarm = new Float64Array(replicates);
  const found = new Map(oddities.map(({ name }) => [name, new Float64Array(replicates)]));
  for (let replicate = 0; replicate < replicates; replicate++) {
    const ordinary = effectsOf(dayOf(design, candidates, seed + replicate));
    falseAlarm[replicate] = Number(ordinary.some(hasAlarm));
    for (const { name, effect, ways } of oddities) {
      const all = effectsOf(dayOf(design, candidates, seed + replicate, ways(replicate, design)));
      const its = all[ODD] as JudgeEffects;
      (found.get(name) as Float64Array)[replicate] = Number(
        effect === "flat" ? its.isFlat : isOdd(its, effect),
      );
    }
  }
  return { design, candidates, replicates, falseAlarm, found };
}

const isOdd = ({ effects }: JudgeEffects, name: EffectName): boolean => {
  const effect = effects[name];
  return "isOdd" in effect && effect.isOdd;
};
export const hasAlarm = (one: JudgeEffects): boolean =>
  one.isFlat || (Object.keys(one.effects) as EffectName[]).some((name) => isOdd(one, name));

export function effectsOf(day: Day): JudgeEffects[] {
  const { candidates, design } = day;
  const marks = markedCells(day);
  const isHalf = design.instrument.kind === "half-steps";
  return judgeEffects({
    marks,
    step: isHalf ? 1 : 0.75,
    criterion: Int32Array.from({ length: CELLS }, (_, cell) => cell % CRITERIA),
    performance: Int32Array.from({ length: CELLS }, (_, cell) => Math.floor(cell / CRITERIA)),
    moment: Float64Array.from({ length: candidates }, (_, c) => c),
    isRest: day.isRest.filter((_, i) => !Number.isNaN(day.marks[i])),
    isOwn: (candidate, judge) => candidate % design.judges === judge,
  });
}
