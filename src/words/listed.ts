/** Names in a row, as a sentence says them: “A, B and C”. None gives an empty text. */
export const listed = (words: readonly string[], locale: string): string =>
  new Intl.ListFormat(locale, { type: "conjunction" }).format(words);
