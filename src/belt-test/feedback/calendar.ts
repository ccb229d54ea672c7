/**
 * A date so many days later, by the calendar: no clock, no time zone.
 * @throws RangeError if `date` is not a date like 2026-06-06.
 * @example
 * daysAfter("2026-06-06", 28); // => "2026-07-04"
 */
export function daysAfter(date: string, days: number): string {
  const at = midnight(date);
  at.setUTCDate(at.getUTCDate() + days);
  return at.toISOString().slice(0, 10);
}

/**
 * A date so many months later; where that month is too short, its last day.
 * @throws RangeError if `date` is not a date like 2026-06-06.
 * @example
 * monthsAfter("2026-08-31", 6); // => "2027-02-28"
 */
export function monthsAfter(date: string, months: number): string {
  const at = midnight(date);
  const day = at.getUTCDate();
  at.setUTCDate(1);
  at.setUTCMonth(at.getUTCMonth() + months + 1);
  at.setUTCDate(0);
  at.setUTCDate(Math.min(day, at.getUTCDate()));
  return at.toISOString().slice(0, 10);
}

function midnight(date: string): Date {
  const at = new Date(`${date}T00:00:00Z`);
  if (Number.isNaN(at.getTime())) throw new RangeError(`calendar: "${date}" is not a date`);
  return at;
}
