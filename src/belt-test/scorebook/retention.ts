/** How long a school may choose to keep names after a test, and what is taken where it chose nothing. Months; ours: no law says a number. */
export const namesMonths = { least: 6, most: 120, usual: 24 } as const;
/** From so many days before the names are due, whoever keeps them is told; nothing goes by itself before it was told for so long. */
const WARN_DAYS = 30;
const DAY_MS = 24 * 3_600_000;

/** How the names of one test stand. `daysLeft` is below zero when their day is past. */
export interface Retention {
  /** ISO 8601. */
  due: string;
  daysLeft: number;
  state: "kept" | "soon" | "due";
}

/**
 * Whether the names of a test may stay, are soon due to go, or are due.
 *
 * @param date  the day of the test, ISO 8601. A day that the last month does not have is that month's last.
 * @param months  how long names are kept, whole months.
 * @param today  ISO 8601.
 * @returns `due` on the day itself and after it, `soon` from 30 days before.
 * @throws RangeError where `months` is no whole number from 6 to 120.
 *
 * A year of 365 days is not what is counted, so two tests of one day of the month are due on one day of the month.
 *
 * @example
 * retention("2026-06-06", 24, "2028-05-06"); // => { due: "2028-06-06", daysLeft: 31, state: "kept" }
 * retention("2026-06-06", 24, "2028-05-07"); // => { due: "2028-06-06", daysLeft: 30, state: "soon" }
 * retention("2024-02-29", 24, "2026-03-01"); // => { due: "2026-02-28", daysLeft: -1, state: "due" }
 */
export function retention(date: string, months: number, today: string): Retention {
  if (!Number.isInteger(months) || months < namesMonths.least || months > namesMonths.most)
    throw new RangeError(`retention: ${months} months`);
  const [year = 0, month = 1, day = 1] = date.split("-").map(Number);
  const last = new Date(Date.UTC(year, month + months, 0)).getUTCDate();
  const dueMs = Date.UTC(year, month - 1 + months, Math.min(day, last));
  const daysLeft = Math.round((dueMs - Date.parse(today)) / DAY_MS);
  return {
    due: new Date(dueMs).toISOString().slice(0, 10),
    daysLeft,
    state: daysLeft <= 0 ? "due" : daysLeft <= WARN_DAYS ? "soon" : "kept",
  };
}

/**
 * From which moment names may go by themselves: their day has come, and they were told to be due on 30 days that were lived through.
 *
 * @param due  the day, ISO 8601.
 * @param told  on how many days since somebody was first shown that this very day is coming the hub was at work; null when nobody was shown.
 * @param nowMs  milliseconds since 1970.
 * @returns the earliest moment, milliseconds since 1970; null when nobody was shown: then they never go by themselves.
 *
 * No clock that is set on shortens it; a hub that is seldom at work keeps names longer.
 *
 * @example
 * mayGoFromMs("2028-06-06", null, Date.UTC(2028, 5, 6)); // => null
 * mayGoFromMs("2028-06-06", 10, Date.UTC(2028, 4, 17)); // => 1843862400000
 * mayGoFromMs("2028-06-06", 30, Date.UTC(2028, 8, 1)); // => 1851379200000
 * mayGoFromMs("2028-06-06", 0, Date.UTC(2028, 8, 1)); // => 1853971200000
 */
export function mayGoFromMs(due: string, told: number | null, nowMs: number): number | null {
  if (told === null) return null;
  return Math.max(Date.parse(due), nowMs + Math.max(0, WARN_DAYS - told) * DAY_MS);
}
