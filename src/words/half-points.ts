/**
 * A distance in percentage points as nobody reads more into it than marks can bear: to the nearest half, never below none.
 *
 * @returns `halves` chooses the message's form, `points` is how it is written.
 * @example
 * halfPoints(2.76); // => { halves: 6, points: "3" }
 * halfPoints(-6.4); // => { halves: 13, points: "6½" }
 */
export function halfPoints(value: number): { halves: number; points: string } {
  const halves = Math.round(2 * Math.abs(value));
  const whole = Math.floor(halves / 2);
  return { halves, points: halves % 2 === 0 ? String(whole) : `${whole || ""}½` };
}
