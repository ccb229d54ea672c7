/** What a person chose; "hall" follows the device. */
export type Theme = "hall" | "day" | "dark";
export type TextSize = "usual" | "large";

/** Writes the choice on the page: tokens.css and type.css read it. */
export function wearLook(page: HTMLElement, look: { theme: Theme; text: TextSize }): void {
  if (look.theme === "hall") delete page.dataset.theme;
  else page.dataset.theme = look.theme;
  if (look.text === "usual") delete page.dataset.text;
  else page.dataset.text = look.text;
}
