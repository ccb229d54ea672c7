import { describe, expect, it } from "vitest";
import { normalFrom } from "../../../src/lab/normal.ts";
import {
  type Effect,
  type EffectName,
  judgeEffects,
} from "../../../src/ratings/effects/judge-effects.ts";
import type { Judged } from "../../../src/ratings/effects/judged.ts";
import { chanceFrom } from "../../../src/ratings/statistics/chance.ts";
import { completeCells } from "../../builders/complete-cells.ts";
import { effectsByChance } from "../../builders/effects-by-chance.ts";

const ITEMS = 6;
const CRITERIA = 3;
type Level = (candidate: number, judge: number, item: number, criterion: number) => number;

/** A complete panel; levels 1 to 4. */
function aPanel(candidates: number, judges: number, level: Level): Judged {
  const all = ITEMS * CRITERIA;
  return {
    marks: completeCells({ candidates, judges, cells: all }, (candidate, judge, cell) =>
      level(candidate, judge, Math.floor(cell / CRITERIA), cell % CRITERIA),
    ),
    step: 0.75,
    criterion: Int32Array.from({ length: all }, (_, cell) => cell % CRITERIA),
    performance: Int32Array.from({ length: all }, (_, cell) => Math.floor(cell / CRITERIA)),
    moment: Float64Array.from({ length: candidates }, (_, c) => c),
    isRest: new Uint8Array(candidates * judges * all),
    isOwn: (candidate, judge) => candidate % judges === judge,
  };
}

/** Ordinary judges, but for what `odd` adds to the first one's impression. */
function ordinary(seed: number, odd: Level = () => 0): Level {
  const one = effectsByChance(seed);
  return (c, j, i, k) =>
    Math.min(
      4,
      Math.max(
        1,
        Math.round(
          2.6 +
            one(`c${c}`, 0.5) -
            one(`j${j}`, 0.1) +
            one(`${c}/${j}`, 0.1) +
            one(`${c}/${j}/${i}/${k}`, 0.5) +
            (j === 0 ? odd(c, j, i, k) : 0),
        ),
      ),
    );
}
const oddOnes = (judged: Judged): string[] =>
  judgeEffects(judged).flatMap(({ judge, effects }) =>
    (Object.keys(effects) as EffectName[]).flatMap((name) => {
      const effect = effects[name];
      return "isOdd" in effect && effect.isOdd ? [`${judge} ${name}`] : [];
    }),
  );

describe("what marks say of their judge", () => {
  it("[E1] says nothing of ordinary judges", () => {
    for (let seed = 1; seed <= 12; seed++)
      expect(oddOnes(aPanel(30, 4, ordinary(seed))), `seed ${seed}`).toEqual([]);
  });

  it("[E3] finds who is far more severe, in one criterion severe, tired, or marks all criteria alike", () => {
    const found = (odd: Level) => oddOnes(aPanel(30, 4, ordinary(5, odd)));
    expect(found(() => -1.2)).toContain("0 severity");
    expect(found((_, __, ___, k) => (k === 1 ? -1.3 : 0))).toContain("0 criterion");
    expect(found((c) => -c / 18)).toContain("0 drift");
    const level = ordinary(5);
    expect(oddOnes(aPanel(30, 4, (c, j, i, k) => level(c, j, i, j === 0 ? 0 : k)))).toContain(
      "0 halo",
    );
    const severe = judgeEffects(
      aPanel(
        30,
        4,
        ordinary(5, (_, __, ___, k) => (k === 1 ? -1.3 : 0)),
      ),
    );
    const effect = severe[0]?.effects.criterion as Effect;
    expect(effect.criterion).toBe(1);
    expect(effect.value).toBeGreaterThan(0.4);
  });

  it("[E4] gives a reason where there is too little, and never NaN", () => {
    const reasons = (judged: Judged) =>
      judgeEffects(judged).map(({ effects }) =>
        Object.values(effects).map((one) => ("reason" in one ? one.reason : "number")),
      );
    expect(new Set(reasons(aPanel(30, 1, ordinary(1))).flat())).toEqual(new Set(["one-judge"]));
    expect(new Set(reasons(aPanel(4, 3, ordinary(1))).flat())).toEqual(
      new Set(["too-few-candidates"]),
    );
    const alone = aPanel(20, 2, ordinary(1));
    // Each judge saw other candidates.
    const kept = [...alone.marks.judge.keys()].filter(
      (i) => (alone.marks.candidate[i] as number) % 2 === alone.marks.judge[i],
    );
    const apart: Judged = {
      ...alone,
      marks: {
        ...alone.marks,
        candidate: Int32Array.from(kept, (i) => alone.marks.candidate[i] as number),
        judge: Int32Array.from(kept, (i) => alone.marks.judge[i] as number),
        cell: Int32Array.from(kept, (i) => alone.marks.cell[i] as number),
        level: Float64Array.from(kept, (i) => alone.marks.level[i] as number),
      },
    };
    expect(new Set(reasons(apart).flat())).toEqual(new Set(["nothing-shared"]));
    const nobodys = { ...aPanel(20, 3, ordinary(1)), isOwn: () => false };
    expect(judgeEffects(nobodys)[0]?.effects["own-students"]).toEqual({
      reason: "no-own-students",
    });
    for (const judged of [
      aPanel(20, 3, () => 3),
      aPanel(20, 3, (_, j) => j + 1),
      aPanel(7, 2, ordinary(3)),
    ])
      for (const { effects, sameShare, restShare } of judgeEffects(judged)) {
        expect(sameShare).not.toBeNaN();
        expect(restShare).not.toBeNaN();
        for (const effect of Object.values(effects))
          if (!("reason" in effect))
            for (const value of [effect.value, effect.se, effect.p])
              expect(Number.isFinite(value)).toBe(true);
      }
  });

  it("[E5] does not depend on the order of judges and candidates, nor on a level more for everybody", () => {
    const level = ordinary(7, (c) => -c / 20);
    const near = (a: Judged, b: Judged, map: (judge: number) => number) => {
      const [one, other] = [judgeEffects(a), judgeEffects(b)];
      one.forEach(({ judge, effects }) => {
        for (const [name, effect] of Object.entries(effects)) {
          const its = other[map(judge)]?.effects[name as EffectName];
          if ("reason" in effect) expect(its).toEqual(effect);
          else {
            expect((its as Effect).value).toBeCloseTo(effect.value, 6);
            expect((its as Effect).p).toBeCloseTo(effect.p, 6);
          }
        }
      });
    };
    const day = aPanel(24, 4, level);
    const turned = aPanel(24, 4, (c, j, i, k) => level(23 - c, 3 - j, i, k));
    near(
      day,
      {
        ...turned,
        moment: turned.moment.map((at) => 23 - at),
        isOwn: (c, j) => (23 - c) % 4 === 3 - j,
      },
      (judge) => 3 - judge,
    );
    near(
      day,
      { ...day, marks: { ...day.marks, level: day.marks.level.map((one) => one + 1) } },
      (j) => j,
    );
  });

  it("[E5] does not take it for an own student when another judge beside is severe", () => {
    const normal = normalFrom(chanceFrom(11));
    const shown = Array.from({ length: 48 }, () => 2.5 + 0.4 * normal());
    const level: Level = (c, j) =>
      Math.min(
        4,
        Math.max(1, Math.round((shown[c] as number) - (j === 1 ? 1 : 0) + 0.5 * normal())),
      );
    const whole = aPanel(48, 3, level);
    // The first judge sees everybody, beside the severe second or the third in turn; own students always beside the second.
    const kept = [...whole.marks.judge.keys()].filter((i) => {
      const judge = whole.marks.judge[i] as number;
      return judge === 0 || judge === 1 + ((whole.marks.candidate[i] as number) % 2);
    });
    const pick = (from: Int32Array) => Int32Array.from(kept, (i) => from[i] as number);
    const found = judgeEffects({
      ...whole,
      marks: {
        ...whole.marks,
        candidate: pick(whole.marks.candidate),
        judge: pick(whole.marks.judge),
        cell: pick(whole.marks.cell),
        level: Float64Array.from(kept, (i) => whole.marks.level[i] as number),
      },
      isRest: new Uint8Array(kept.length),
      isOwn: (candidate, judge) => judge === 0 && candidate % 2 === 0,
    });
    const own = found.map(({ effects }) => effects["own-students"]);
    expect(own[0]).toHaveProperty("value");
    expect(Math.abs((own[0] as Effect).value)).toBeLessThan(0.2);
    expect(found[1]?.effects.severity).toMatchObject({ isOdd: true });
  });
});
