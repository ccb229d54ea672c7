import { createContext, useContext, useMemo } from "react";
import { ENGLISH, type SayOf, sayIn, type Words } from "../../words/say.ts";

/** The language of the screen: given once, where the page begins. */
export const LanguageContext = createContext(ENGLISH);

/** The words of one area in the language around this part; the same function until the language changes. */
export function useSay<Area extends Words>(words: Area): SayOf<Area> {
  const language = useContext(LanguageContext);
  return useMemo(() => sayIn(words, language), [words, language]);
}
