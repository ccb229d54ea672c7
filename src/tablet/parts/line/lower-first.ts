/** A title inside a sentence: "Extension" becomes "extension", "Counts to ten in Japanese" keeps its name. */
export const lowerFirst = (title: string, locale: string): string =>
  title.slice(0, 1).toLocaleLowerCase(locale) + title.slice(1);
