import type { ReactNode } from "react";
import { createRoot } from "react-dom/client";
import { languageFor } from "./language.ts";
import { LanguageContext } from "./parts/use-say.ts";

/** Begins a page, in the language that this device prefers: the one place where it is given. @param id  the element that the page is drawn in */
export async function show(id: string, page: ReactNode): Promise<void> {
  const root = document.getElementById(id);
  if (!root) throw new Error(`show: no #${id} in the page`);
  const language = await languageFor(navigator.languages);
  document.documentElement.lang = language.locale;
  createRoot(root).render(<LanguageContext value={language}>{page}</LanguageContext>);
}
