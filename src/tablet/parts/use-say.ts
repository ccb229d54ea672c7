import { createContext, useContext, useMemo } from "react";
import { LOCALE } from "../../words/locale.ts";
import { type Say, sayIn, type WordArea } from "../../words/say.ts";

/** The language of the screen, with the catalogues that replace English, by area. */
export interface Language {
  locale: string;
  translated: Readonly<Record<string, Readonly<Record<string, string>>>>;
}

export const LanguageContext = createContext<Language>({ locale: LOCALE, translated: {} });

/** The words of one area in the language around this part; the same function until the language changes. */
export function useSay<Key extends string>(area: WordArea<Key>): Say<Key> {
  const { locale, translated } = useContext(LanguageContext);
  return useMemo(
    () => sayIn(area, locale, translated[area.area] as Partial<Record<Key, string>> | undefined),
    [area, locale, translated],
  );
}
