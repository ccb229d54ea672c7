/** "6 June 2026": a day without a time zone, so that it is the same day everywhere. */
export const longDay = (date: string): string =>
  new Date(`${date}T00:00:00Z`).toLocaleDateString("en-GB", { dateStyle: "long", timeZone: "UTC" });
