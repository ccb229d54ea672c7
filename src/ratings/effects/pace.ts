import { median } from "../median.ts";

/** One line of marks, as one device wrote it. */
export interface Stroke {
  device: string;
  /** Logical time: what the device wrote later has no less. */
  lamport: number;
  /** By that device's clock, which may be a day off. */
  atMs: number;
  /** Which technique of whom was marked; lines of one place bear one name. null: a list, or what is marked once a section, which takes no watching of its own. */
  place: string | null;
}

/** How fast a judge marked, technique by technique. */
export interface Pace {
  /** Techniques it rests on: each at its first visit, a whole line of candidates together where they are marked together. */
  places: number;
  /** From the last mark of the place before to the last of this one: watching and marking together. */
  medianSeconds: number;
  /** Share of places that took less than `QUICK_SECONDS`, 0–1: marked from memory, or not watched. */
  quickShare: number;
}
export type NoPace = { reason: "no-times" | "too-few-places" };

/** No technique is shown, seen and marked in less: ours, nobody has measured it in a dojo. */
export const QUICK_SECONDS = 5;
/** A longer wait is a pause, or a clock that was set: it says nothing of a judge. Ours. */
const PAUSE_SECONDS = 600;
const ENOUGH_PLACES = 10;

/**
 * How fast a judge marks, from the clocks of the judge's own devices.
 *
 * @param strokes every line the judge wrote, in any order; `no-times` where there is none, as of paper.
 * @returns seconds and a share; of fewer than ten places with a time a reason. Nothing is told of a place that was visited before, where the clock went back on the way, or after ten minutes.
 *
 * Only differences within one device are used, in the order of logical time, and of one moment by its clock: a clock that is a day off changes nothing, and how long after the *call* a judge marks
 * cannot be told, for the caller's clock is another. Where the floor is called, seconds are the floor's and not the judge's; what tells something is the share, beside the others' (`hasty`).
 * A description beside the effects: no alarm hangs on it, since nobody knows what is common. Source: none; ours.
 *
 * @example
 * pace(Array.from({ length: 12 }, (_, i) => ({ device: "a", lamport: i + 1, atMs: 8000 * i, place: `${i}` }))); // => { places: 11, medianSeconds: 8, quickShare: 0 }
 * pace([]); // => { reason: "no-times" }
 */
export function pace(strokes: readonly Stroke[]): Pace | NoPace {
  if (strokes.length === 0) return { reason: "no-times" };
  const seconds = secondsOf(
    [...strokes].sort((a, b) =>
      a.device === b.device
        ? a.lamport - b.lamport || a.atMs - b.atMs
        : a.device < b.device
          ? -1
          : 1,
    ),
  );
  if (seconds.length < ENOUGH_PLACES) return { reason: "too-few-places" };
  return {
    places: seconds.length,
    medianSeconds: median(seconds),
    quickShare: seconds.filter((one) => one < QUICK_SECONDS).length / seconds.length,
  };
}

/** From this share of quick places, and so much more than the others' middle, a judge's speed is worth a question; ours. */
const HASTY = 0.25;

/**
 * Whose speed tells something of the judge and not of the floor: many quick places, and far more than the other judges have.
 *
 * @param paces one for each judge of a panel. @returns one for each; never where nobody else's pace is known.
 *
 * Where all are quick together the floor was, or a clock that all go by was no clock: nobody is named. A question, no alarm.
 *
 * @example
 * const of = (quickShare) => ({ places: 40, medianSeconds: 12, quickShare });
 * hasty([of(0.6), of(0.05), of(0.1)]); // => [true, false, false]
 * hasty([of(1), of(1), { reason: "no-times" }]); // => [false, false, false]
 */
export function hasty(paces: readonly (Pace | NoPace)[]): boolean[] {
  return paces.map((one) => {
    if ("reason" in one) return false;
    const others = paces.flatMap((other) =>
      other === one || "reason" in other ? [] : [other.quickShare],
    );
    return others.length > 0 && one.quickShare >= HASTY && one.quickShare - median(others) >= HASTY;
  });
}

/** By device and time. */
function secondsOf(strokes: readonly Stroke[]): number[] {
  const found: number[] = [];
  const visited = new Set<string>();
  for (let from = 0; from < strokes.length; ) {
    const first = strokes[from] as Stroke;
    let to = from + 1;
    while (strokes[to]?.device === first.device && strokes[to]?.place === first.place) to++;
    const before = strokes[from - 1];
    const isNew = first.place !== null && !visited.has(first.place);
    if (first.place !== null) visited.add(first.place);
    if (isNew && before?.device === first.device) {
      const times = strokes.slice(from - 1, to).map(({ atMs }) => atMs);
      const took = ((times.at(-1) as number) - (times[0] as number)) / 1000;
      const hasGoneBack = times.some((at, i) => i > 0 && at < (times[i - 1] as number));
      if (!hasGoneBack && took <= PAUSE_SECONDS) found.push(took);
    }
    from = to;
  }
  return found;
}
