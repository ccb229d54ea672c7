/**
 * Who watches whom in one wave: each judge takes neighbouring lanes, and the judges move on by one place from wave to wave,
 * so that every judge is tied to every other by candidates they both marked.
 *
 * @param lanes  the wave's candidates, left to right.
 * @param judges the panel, in seat order; none gives an empty map.
 * @param perJudge lanes a judge can carry (see scoring-load.ts); more than there are lanes means all of them.
 * @param wave 1, 2, 3 …: turns the ring.
 * @returns each judge's lanes, in lane order. With `judges.length × perJudge ≥ lanes.length` nobody is left unwatched.
 *
 * @example
 * ring(["a", "b", "c"], ["x", "y"], 2, 1); // => new Map([["x", ["a", "b"]], ["y", ["b", "c"]]])
 */
export function ring<Lane, Judge>(
  lanes: readonly Lane[],
  judges: readonly Judge[],
  perJudge: number,
  wave: number,
): Map<Judge, Lane[]> {
  if (!Number.isInteger(perJudge) || perJudge < 1)
    throw new RangeError(`ring: perJudge must be 1 or more, got ${perJudge}`);
  const seats = new Map<Judge, Lane[]>();
  const width = Math.min(perJudge, lanes.length);
  judges.forEach((_, seat) => {
    const judge = judges[(seat + wave - 1) % judges.length] as Judge;
    const start = Math.floor((seat * lanes.length) / judges.length);
    const places = Array.from({ length: width }, (_, step) => (start + step) % lanes.length).sort(
      (a, b) => a - b,
    );
    seats.set(
      judge,
      places.map((place) => lanes[place] as Lane),
    );
  });
  return seats;
}
