/** "6 June 2026": a day of the calendar, so that the time zone of the machine cannot move it. */
export const longDay = (date: string, locale: string): string =>
  new Intl.DateTimeFormat(locale, { dateStyle: "long", timeZone: "UTC" }).format(
    new Date(`${date}T00:00:00Z`),
  );

/** "14:05", by this device's clock. @param atMs milliseconds since 1970. */
export const clockTime = (atMs: number, locale: string): string =>
  new Date(atMs).toLocaleTimeString(locale, { hour: "2-digit", minute: "2-digit" });

/** "6 June 2026", by this device's clock. @param atMs milliseconds since 1970. */
export const dayAt = (atMs: number, locale: string): string =>
  new Date(atMs).toLocaleDateString(locale, { dateStyle: "long" });
