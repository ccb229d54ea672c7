/**
 * The school grade that a text reads at, by the Flesch-Kincaid formula.
 * Source: Kincaid, Fishburne, Rogers & Chissom 1975, Research Branch Report 8-75: .39 words a sentence + 11.8 syllables a word − 15.59.
 * Syllables are counted by groups of vowels, which is right for most plain words.
 */
export function readingGrade(text: string): number {
  const sentences = text.split(/[.!?:]+(?:\s|$)/).filter((sentence) => /[a-z]/i.test(sentence));
  const words = text.match(/[a-z]+(?:[’'-][a-z]+)*/gi) ?? [];
  if (words.length === 0) return 0;
  const syllables = words.reduce((count, word) => count + syllablesIn(word), 0);
  return 0.39 * (words.length / sentences.length) + 11.8 * (syllables / words.length) - 15.59;
}

function syllablesIn(word: string): number {
  const plain = word.toLowerCase().replace(/[^a-z]/g, "");
  const groups = plain.replace(/(?:[^laeiouy]es|[^dt]ed|[^l]e)$/, "").match(/[aeiouy]+/g);
  return Math.max(1, groups?.length ?? 0);
}
