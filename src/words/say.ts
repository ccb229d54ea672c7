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

const compiled = new Map<string, IntlMessageFormat>();

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
    const message = translated[key] ?? english[key];
    if (message === undefined) throw new RangeError(`say: no message "${key}"`);
    if (!message.includes("{") && !message.includes("'")) return message;
    const language = translated[key] === undefined ? "en" : locale;
    const name = `${language}\n${message}`;
    let format = compiled.get(name);
    if (!format)
      compiled.set(
        name,
        (format = new IntlMessageFormat(message, language, undefined, { ignoreTag: true })),
      );
    return String(format.format(values));
  };
}
