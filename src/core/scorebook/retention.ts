/** Names and texts of a test are due to be erased so long after its day. Ours: no law says it so; a school's or a country's rule may be shorter. */
const KEPT_MONTHS = 24;
/** From so many days before, whoever keeps them is told. */
const WARN_DAYS = 30;
const DAY_MS = 24 * 3_600_000;

/**
 * The day on which the names of a test should go.
 *
 * @param date  the day of the test, ISO 8601. A day the month does not have is its last.
 * @example
 * namesDue("2026-06-06"); // => "2028-06-06"
 * namesDue("2024-02-29"); // => "2026-02-28"
 */
export function namesDue(date: string): string {
  const [year = 0, month = 1, day = 1] = date.split("-").map(Number);
  const months = month - 1 + KEPT_MONTHS;
  const lastDay = new Date(Date.UTC(year, months + 1, 0)).getUTCDate();
  return new Date(Date.UTC(year, months, Math.min(day, lastDay))).toISOString().slice(0, 10);
}

/**
 * Whether the names of a test are due now or within a month: said to the chief, who decides; nothing goes by itself.
 *
 * @example
 * areNamesDueSoon("2026-06-06", Date.UTC(2028, 4, 6)); // => false
 * areNamesDueSoon("2026-06-06", Date.UTC(2028, 4, 8)); // => true
 */
export const areNamesDueSoon = (date: string, nowMs: number): boolean =>
  nowMs >= Date.parse(namesDue(date)) - WARN_DAYS * DAY_MS;
