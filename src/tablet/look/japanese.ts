/** Fetches the Japanese face, once, when a name in its own script is first shown. Its files are cut by character range. */
export async function loadJapanese(): Promise<void> {
  await import("@fontsource/zen-kaku-gothic-new/500.css");
}
