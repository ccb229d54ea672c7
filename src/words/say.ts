import { IntlMessageFormat } from "intl-messageformat";

/** What a message's holes are filled with. */
export type Values = Record<string, string | number | boolean | Date>;

/** The words of one area of the product, by key, as ICU messages (Unicode CLDR message format). */
export interface WordArea<Key extends string> {
  area: string;
  english: Readonly<Record<Key, string>>;
}
export type Say<Key extends string> = (key: Key, values?: Values) => string;

/** One area's catalogue; English is the source and the fallback. Other languages replace it by area. */
export function wordArea<Key extends string>(
  area: string,
  english: Readonly<Record<Key, string>>,
): WordArea<Key> {
  return { area, english };
}

/** A message as it is written, or as the production build has read it already: see vite.config.ts. */
type Message = string | ConstructorParameters<typeof IntlMessageFormat>[0];
const formats = new Map<string, Map<Message, IntlMessageFormat>>();

/**
 * The words of an area in a language.
 * @param translated the area's messages in `locale`; keys missing there fall back to English.
 */
export function sayIn<Key extends string>(
  { english }: WordArea<Key>,
  locale = "en",
  translated: Partial<Record<Key, string>> = {},
): Say<Key> {
  return (key, values) => {
    const message: Message | undefined = translated[key] ?? english[key];
    if (message === undefined) throw new RangeError(`say: no message "${key}"`);
    if (typeof message === "string" && !/[{']/.test(message)) return message;
    return String(format(message, translated[key] === undefined ? "en" : locale).format(values));
  };
}

/** Each message is read once in each language. */
function format(message: Message, language: string): IntlMessageFormat {
  let ofLanguage = formats.get(language);
  if (!ofLanguage) formats.set(language, (ofLanguage = new Map()));
  let known = ofLanguage.get(message);
  if (!known) {
    known = new IntlMessageFormat(message, language, undefined, { ignoreTag: true });
    ofLanguage.set(message, known);
  }
  return known;
}
