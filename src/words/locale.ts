/**
 * How dates, times, numbers and lists are written: goes with the catalogues in src/words/en.
 * The one place that says so; a second language is chosen here and in LanguageContext, and nowhere else.
 */
export const LOCALE = "en-GB";
