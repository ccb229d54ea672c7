import { chiefDevices, meantDevice } from "../hub/door/chief-devices.ts";
import { FrontDesk } from "../hub/door/front-desk.ts";
import { openTakenAway, type TakenAway } from "../hub/forgetting/forget-again.ts";
import { notedDoor } from "../hub/forgetting/noted-door.ts";
import { SharedNotes } from "../hub/forgetting/shared-notes.ts";
import { type HubStore, type OpenStore, openStore } from "../hub/store/open-store.ts";
import { testBooks } from "../hub/test-room/test-books.ts";
import { platformClock } from "../ports/clock.ts";
import { nobodyElse } from "../ports/store-news.ts";
import type { Command } from "./command.ts";
import { storeOptions, storePlace, withStore } from "./data-store.ts";
import { deviceLines } from "./device-lines.ts";
import { optionsOf } from "./options.ts";
import { sayTerminal } from "./say-terminal.ts";
import { Trouble } from "./trouble.ts";

/** `devices`, `devices --end ID`: on which devices somebody is chief, and ending one at once and for good, also while hubs are at work. */
export const devices: Command = {
  help: "help-devices",
  async run(args, { out, folder }) {
    const { values, positionals } = optionsOf(args, { ...storeOptions, end: { type: "string" } });
    if (positionals.length > 0) throw new Trouble([{ say: "devices-no-files" }]);
    const place = storePlace(values, folder);
    const { end } = values;
    const work = async (opened: OpenStore & Partial<HubStore>) => {
      if (end !== undefined) await endOne(opened, openTakenAway(place.dataFolder), end);
      const left = await chiefDevices(opened.door);
      if (values.json) out(JSON.stringify({ ended: end ?? null, devices: left }, null, 2));
      else {
        if (end !== undefined) out(sayTerminal("devices-ended", { id: end }));
        out(left.length > 0 ? deviceLines(left).join("\n") : sayTerminal("devices-none"));
      }
      return 0;
    };
    // Hubs on a database are told; a hub at work with a folder finds the note beside its store.
    if (place.address === undefined || end === undefined) return withStore(place, {}, work);
    const opened = await openStore(place.dataFolder, place.address, testBooks);
    try {
      return await work(opened);
    } finally {
      await opened.close();
    }
  },
};

async function endOne(
  { door, isShared, news = nobodyElse }: OpenStore & Partial<HubStore>,
  notes: TakenAway,
  asked: string,
): Promise<void> {
  const desk = await FrontDesk.open(door, Date.now, news, notedDoor(notes, Date.now));
  const meant = meantDevice(await chiefDevices(door), asked);
  if (!meant) throw new Trouble([{ say: "devices-which", with: { id: asked } }]);
  await desk.endToken(meant.id);
  if (isShared) await new SharedNotes(door, notes, news, platformClock).level();
}
