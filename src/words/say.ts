import { IntlMessageFormat } from "intl-messageformat";

/** What a message's holes are filled with. */
export type Values = Record<string, string | number | boolean | Date>;

/** The English words of one area of the product, by key, as ICU messages (Unicode CLDR message format): a file of src/words/en. */
export type Words = Readonly<Record<string, string>> & { readonly area: string };
export type KeyOf<Area extends Words> = Exclude<keyof Area, "area"> & string;

/** A language's words by area and key; how it writes dates, numbers and lists goes by its locale. */
export interface Language {
  readonly locale: string;
  readonly translated: Readonly<Record<string, Readonly<Record<string, string>>>>;
}
/** The source of all others, and what is said where they say nothing. */
export const ENGLISH: Language = { locale: "en-GB", translated: {} };

/** The words of an area in one language. `locale`: for dates, numbers, lists and small letters beside them. */
export interface Say<Key extends string> {
  (key: Key, values?: Values): string;
  readonly locale: string;
}
export type SayOf<Area extends Words> = Say<KeyOf<Area>>;

/** A message as it is written, or as the production build has read it already: see vite.config.ts. */
type Message = string | ConstructorParameters<typeof IntlMessageFormat>[0];
const formats = new Map<string, Map<Message, IntlMessageFormat>>();

/** The words of an area in a language; what is missing there is said in English. */
export function sayIn<Area extends Words>(
  words: Area,
  { locale, translated }: Language = ENGLISH,
): SayOf<Area> {
  const own = translated[words.area];
  const say = (key: KeyOf<Area>, values?: Values): string => {
    const message: Message | undefined = own?.[key] ?? words[key];
    if (message === undefined) throw new RangeError(`say: no message "${key}"`);
    if (typeof message === "string" && !/[{']/.test(message)) return message;
    return String(format(message, own?.[key] === undefined ? "en" : locale).format(values));
  };
  return Object.assign(say, { locale });
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
