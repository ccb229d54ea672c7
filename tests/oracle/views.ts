import type { OracleBook } from "./oracle-book.ts";
import { admissionView } from "./views/admission-view.ts";
import { commandViews } from "./views/command-views.ts";
import { feedViews } from "./views/feed-views.ts";
import { permitView } from "./views/permit-view.ts";
import { readBook } from "./views/read-book.ts";
import { sheetViews } from "./views/sheet-views.ts";

/** What somebody is shown, told or sent, by its name, as text. */
export type Views = Record<string, string>;

/** Everything that the program says of one book. The same book always gives the same texts. */
export async function views(book: OracleBook): Promise<Views> {
  const read = readBook(book);
  return {
    ...(await commandViews(book)),
    ...(await feedViews(book, read)),
    ...sheetViews(read),
    permits: permitView(book, read),
    // On a smooth day nothing is refused; a third of them is enough.
    ...(book.day === "smooth" && !book.isUnfinished
      ? {}
      : { admission: await admissionView(book, read) }),
  };
}
