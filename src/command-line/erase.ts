import { type Erasable, erasable, meant } from "../hub/forgetting/erasable.ts";
import { erase as eraseOne } from "../hub/forgetting/erase.ts";
import { openTakenAway, type TakenAway } from "../hub/forgetting/forget-again.ts";
import { forgetAtDoor } from "../hub/forgetting/forget-at-door.ts";
import { SharedNotes } from "../hub/forgetting/shared-notes.ts";
import type { OpenStore, StoreHome } from "../hub/store/store-home.ts";
import { storesBeside } from "../hub/store/stores-beside.ts";
import { platformClock } from "../ports/clock.ts";
import { nobodyElse } from "../ports/store-news.ts";
import type { Command } from "./command.ts";
import { storeHome, storeOptions, withStore } from "./data-store.ts";
import { eraseDue } from "./erase-due.ts";
import { optionsOf } from "./options.ts";
import { sayTerminal } from "./say-terminal.ts";
import { Trouble } from "./trouble.ts";
import { waitForSweep } from "./wait-for-sweep.ts";

/** `erase WHO`, `erase --due`: names and texts out of the belt tests of a hub's store, somebody's or everybody's out of those that are due. */
export const erase: Command = {
  help: "help-erase",
  async run(args, { out, err, folder }) {
    const { values, positionals } = optionsOf(args, {
      ...storeOptions,
      test: { type: "string" },
      due: { type: "boolean" },
      "dry-run": { type: "boolean" },
    });
    const [who, ...more] = positionals;
    if ((who === undefined) !== (values.due === true) || more.length > 0)
      throw new Trouble([{ say: "erase-one-person" }]);
    const home = storeHome(values, folder);
    const isDry = values["dry-run"] === true;
    // A hub at work with a folder holds names in memory and tells tablets at once: there the chief erases on the screen.
    // Hubs at work with a database read the entry that says it, and forget too.
    return withStore(home, { alone: true }, async (opened) => {
      const { store, door } = opened;
      const notes = openTakenAway(home.dataFolder);
      const { erased: log } = notes;
      const nowMs = Date.now();
      if (who === undefined) {
        await eraseDue({ store, door, log }, { ...values, isDry, nowMs }, out);
        if (!isDry) await finish(opened, notes, home, err);
        return 0;
      }
      const people = (await erasable(opened)).filter(
        ({ grading }) => values.test === undefined || grading === values.test,
      );
      const found = meant(people, who);
      if (found.length === 0) throw new Trouble([{ say: "erase-nobody", with: { who } }]);
      refuseNamesakes(found, who);
      const erased = [];
      for (const one of found) {
        const { grading, about, name, called: names, atDoor, device, number, records } = one;
        if (!isDry) {
          // The door first, while it is known what they were called: what is cut short here is done again.
          const noteDevices = log.noteDevices(grading, nowMs);
          if (device) {
            noteDevices([device]);
            await door.forgetDevices(grading, [device]);
          } else {
            log.note(grading, about, nowMs);
            await forgetAtDoor(door, grading, about, names, noteDevices);
            await eraseOne(store, log, { grading, abouts: [about], nowMs });
          }
        }
        const called = name || (atDoor[0] ?? "");
        erased.push({ test: grading, about, name: called, number: number ?? null, records });
      }
      if (values.json) out(JSON.stringify({ erased: !isDry, people: erased }, null, 2));
      else
        for (const { test, name, about, records } of erased)
          out(
            sayTerminal(isDry ? "erase-would" : "erase-did", {
              test,
              name: name || about,
              records,
            }),
          );
      if (!isDry && !values.json) out(sayTerminal("erase-backups"));
      if (!isDry) await finish(opened, notes, home, err);
      return 0;
    });
  },
};

/** Off the disk too, and noted beside every hub of a database that is shared. */
async function finish(
  opened: OpenStore,
  notes: TakenAway,
  { dataFolder }: StoreHome,
  err: (text: string) => void,
): Promise<void> {
  if (opened.isShared) await new SharedNotes(opened.door, notes, nobodyElse, platformClock).level();
  await waitForSweep(opened, err);
  const beside = storesBeside(dataFolder);
  if (beside.length > 0)
    err(sayTerminal("erase-beside", { count: beside.length, files: beside.join(", ") }));
}

/** Two people of one name in one test: the id tells which is meant. */
function refuseNamesakes(found: readonly Erasable[], who: string): void {
  // Whoever knocked under that name and was not let in goes along: there is nothing else of them.
  const people = found.filter(({ device }) => !device);
  const tests = new Set(people.map(({ grading }) => grading));
  if (tests.size === people.length) return;
  const all = people
    .map(({ about, number }) => `${about}${number ? ` (${number})` : ""}`)
    .join(", ");
  throw new Trouble([{ say: "erase-which", with: { who, all } }]);
}
