import { LOCALE } from "../../../words/locale.ts";

/** A title inside a sentence: "Extension" becomes "extension", "Counts to ten in Japanese" keeps its name. */
export const lowerFirst = (title: string): string =>
  title.slice(0, 1).toLocaleLowerCase(LOCALE) + title.slice(1);
