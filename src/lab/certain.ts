import type { Asked, AskedPanel, Part } from "../ratings/certainty/asked.ts";
import { judgedChances } from "../ratings/certainty/judged-chances.ts";
import { type Day, dayOf } from "./day.ts";
import type { Design } from "./designs.ts";
import { markedCells, scored } from "./scored.ts";
import { CELL_IN_SECTION, SECTION_CELLS, SECTION_WEIGHT, SECTIONS } from "./setting.ts";
import { type Bar, barOf, isPassed, trueSections } from "./truths.ts";

/** The certainty of every verdict of many days, and whether the verdict was wrong (panel truth). Candidates of a day lie together. */
export interface Certain {
  design: Design;
  candidates: number;
  replicates: number;
  /** Certainty of the verdict that the plain mean gives. */
  sure: Float64Array;
  isWrong: Uint8Array;
}

export function certain(
  design: Design,
  candidates: number,
  replicates: number,
  seed: number,
): Certain {
  const bar = barOf(design.instrument, design.haloSd);
  const sure = new Float64Array(candidates * replicates);
  const isWrong = new Uint8Array(sure.length);
  for (let replicate = 0; replicate < replicates; replicate++) {
    const day = dayOf(design, candidates, seed + replicate);
    const { chances } = judgedChances(askedPanel(day, bar));
    const { sections } = scored(day);
    const real = trueSections(day, "panel");
    for (let c = 0; c < candidates; c++) {
      const passes = isPassed(sections, c * SECTIONS, bar);
      const chance = chances[c] as number;
      sure[replicate * candidates + c] = passes ? chance : 1 - chance;
      isWrong[replicate * candidates + c] = Number(passes !== isPassed(real, c * SECTIONS, bar));
    }
  }
  return { design, candidates, replicates, sure, isWrong };
}

/** A made-up day as the app would hand it to the reckoning of certainty: everything in percent of its scale. */
export function askedPanel(day: Day, bar: Bar): AskedPanel {
  const isHalf = day.design.instrument.kind === "half-steps";
  const [lowest, level] = isHalf ? [0, 25] : [1, 100 / 3];
  const percent = (value: number) => (value - lowest) * level;
  const marks = markedCells(day);
  const parts = Array.from(
    { length: SECTIONS },
    (_, s): Part => ({
      cells: Int32Array.from({ length: SECTION_CELLS }, (_, k) => s * SECTION_CELLS + k),
      weights: CELL_IN_SECTION.slice(s * SECTION_CELLS, (s + 1) * SECTION_CELLS),
      floor: percent(bar.floor),
      share: SECTION_WEIGHT[s] as number,
      within: null,
    }),
  );
  const asked: Asked = { parts, pass: percent(bar.pass), isBarred: false, combine: "mean" };
  return {
    marks: { ...marks, level: marks.level.map(percent) },
    candidates: Array.from({ length: day.candidates }, () => asked),
    tapped: tappedShare(day),
  };
}

function tappedShare({ marks, isRest }: Day): number {
  let [all, rest] = [0, 0];
  marks.forEach((mark, i) => {
    if (Number.isNaN(mark)) return;
    all++;
    rest += isRest[i] as number;
  });
  return all === 0 ? 1 : 1 - rest / all;
}

/** Several designs as one heap of days; they have as many candidates each. */
export function pooled(all: readonly Certain[]): Certain {
  const [first] = all;
  if (!first) throw new Error("pooled: nothing to pool");
  const replicates = all.reduce((sum, one) => sum + one.replicates, 0);
  const sure = new Float64Array(replicates * first.candidates);
  const isWrong = new Uint8Array(sure.length);
  let at = 0;
  for (const one of all) {
    sure.set(one.sure, at);
    isWrong.set(one.isWrong, at);
    at += one.sure.length;
  }
  return { ...first, replicates, sure, isWrong };
}
