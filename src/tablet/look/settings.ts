/** How this device shows things: the hall's light, the reader's eyes, the judge's hand. Never part of a scorebook. */
export interface Settings {
  theme: "auto" | "day" | "dark";
  text: "usual" | "large";
  hand: "right" | "left";
  targets: "usual" | "large";
}
const usual: Settings = { theme: "auto", text: "usual", hand: "right", targets: "usual" };
const KEY = "evenhand-settings";

export function readSettings(): Settings {
  try {
    return { ...usual, ...(JSON.parse(localStorage.getItem(KEY) ?? "{}") as Partial<Settings>) };
  } catch {
    return usual;
  }
}

export function keepSettings(settings: Settings): void {
  applySettings(settings);
  try {
    localStorage.setItem(KEY, JSON.stringify(settings));
  } catch {
    // A full or forbidden store costs the next start its settings, and nothing else.
  }
}

export function applySettings({ theme, text }: Settings): void {
  const { dataset } = document.documentElement;
  const isDark =
    theme === "dark" || (theme === "auto" && matchMedia("(prefers-color-scheme: dark)").matches);
  dataset.theme = isDark ? "dark" : "day";
  dataset.text = text;
}
