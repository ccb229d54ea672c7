/**
 * How dates, times, numbers and lists are written: goes with the catalogues in src/words/en.
 * Imported wherever something is written so: choosing another at run time is still to come (docs/open-ends.md).
 */
export const LOCALE = "en-GB";
