import { fileURLToPath } from "node:url";
import type { Browser } from "playwright-core";
import { AHub } from "../builders/a-hub.ts";
import { sixByFive } from "../builders/six-by-five.ts";
import { openBrowser } from "../tools/browser.ts";

export const tabletFolder = fileURLToPath(new URL("../../build/tablet", import.meta.url));

export interface SixByFiveHall {
  hub: AHub;
  browser: Browser;
  /** The one judge. */
  person: string;
  end(): Promise<void>;
}

/** A hub that holds the plan of six candidates, and a browser; the chief's tablet was here and is gone. */
export async function openSixByFiveHall(): Promise<SixByFiveHall> {
  const hub = await AHub.start({ tabletFolder });
  const browser = await openBrowser();
  const { plan, judges } = sixByFive();
  const chief = await hub.tablet("chief", ["chief"]);
  chief.append(...plan);
  await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
  chief.drop();
  return {
    hub,
    browser,
    person: judges[0]?.person ?? "",
    async end() {
      await browser.close();
      await hub.end();
    },
  };
}
