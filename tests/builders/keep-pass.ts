import type { Page } from "playwright-core";
import { untilInPage } from "./until-in-page.ts";

/** Puts a pass on a tablet that has opened the app, as if its holder had joined. */
export async function keepPass(page: Page, pass: object): Promise<void> {
  await untilInPage(page, async () =>
    (await indexedDB.databases()).some(({ name }) => name === "evenhand"),
  );
  await page.evaluate(
    (kept) =>
      new Promise<void>((done, fail) => {
        const request = indexedDB.open("evenhand");
        request.onerror = () => fail(request.error);
        request.onsuccess = () => {
          const writing = request.result.transaction("passes", "readwrite");
          writing.objectStore("passes").put(kept);
          writing.oncomplete = () => {
            request.result.close();
            done();
          };
        };
      }),
    pass,
  );
}
