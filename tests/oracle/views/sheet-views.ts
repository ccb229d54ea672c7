import { familySheet } from "../../../src/belt-test/feedback/family-sheet.ts";
import { sheetOf } from "../../../src/belt-test/feedback/sheet-of.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import { shippedLibrary } from "../../../src/hub/routes/shipped-library.ts";
import sheetWords from "../../../src/words/en/sheet.json" with { type: "json" };
import { sayIn } from "../../../src/words/say.ts";
import { sheetPageWords } from "../../../src/words/sheet-page-words.ts";
import type { Views } from "../views.ts";
import type { ReadBook } from "./read-book.ts";

const say = sayIn(sheetWords, { locale: "en", translated: {} });

/** Each candidate's sheet: as data, with every line the chief could choose; in words, as it is printed; and as a family reads it at home. */
export function sheetViews({ entries, sides }: ReadBook): Views {
  const book = fold(entries);
  const reconciler = new Reconciler(book);
  const library = book.plan.library ?? shippedLibrary();
  const sheets = book.plan.entrants.map(({ candidate }): [string, string] => {
    const made = sheetOf(book, candidate, reconciler.outcome(candidate), library);
    const family = familySheet(book, candidate, (id) => sides.get(id), shippedLibrary());
    const words = made && sheetPageWords(made.sheet, say);
    const parts = { made, words, family };
    return [
      `sheet of ${candidate}`,
      Object.entries(parts)
        .map(([name, part]) => `${name}: ${JSON.stringify(part ?? null, null, 1)}`)
        .join("\n"),
    ];
  });
  return Object.fromEntries(sheets);
}
