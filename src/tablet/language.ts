import { ENGLISH, type Language } from "../words/say.ts";

type Catalogues = Readonly<Record<string, () => Promise<Readonly<Record<string, string>>>>>;

/** A folder of catalogues in src/words is a language: src/words/de/board.json says what src/words/en/board.json does. */
const others = import.meta.glob<Readonly<Record<string, string>>>(
  ["../words/*/*.json", "!../words/en/*.json"],
  {
    import: "default",
  },
);

/**
 * The first of the wanted languages that there are catalogues for, whole; English where there is none. What a catalogue lacks is said in English.
 * @param wanted  BCP 47 tags, best first
 */
export async function languageFor(
  wanted: readonly string[],
  catalogues: Catalogues = others,
): Promise<Language> {
  for (const locale of wanted) {
    const [tongue = ""] = locale.toLowerCase().split("-");
    if (tongue === "en") return ENGLISH;
    const files = Object.entries(catalogues).filter(([path]) => path.includes(`/${tongue}/`));
    if (files.length === 0) continue;
    // Away from the hub, and never fetched: a page in English is better than none.
    const translated = await Promise.all(files.map(([, load]) => load())).catch(() => undefined);
    if (!translated) return ENGLISH;
    return {
      locale,
      translated: Object.fromEntries(translated.map((words) => [words.area, words])),
    };
  }
  return ENGLISH;
}
