import type { Notebook } from "./notebook.ts";

/** Stops the floor. Without a hub the entry says so: nobody else is told then, and whoever hears of it later knows why. */
export async function stopFloor(notebook: Notebook): Promise<void> {
  const wave = notebook.book.floor.currentCall?.body.wave ?? null;
  const isAlone = notebook.link !== "live";
  await notebook.write("stopped", { wave, ...(isAlone ? { alone: true } : {}) });
}
