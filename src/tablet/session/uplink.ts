import { faultsThatAre } from "../../book/faults.ts";
import type { DeviceId } from "../../book/identity.ts";
import { callKey, coverageKey } from "../../line/coverage-key.ts";
import { withShout } from "../../line/floor.ts";
import type { FromHub } from "../../line/protocol.ts";
import type { OpenHubLink } from "../../ports/hub-link.ts";
import type { BesideEntries, Saying } from "../notebook/beside-entries.ts";
import { joinHub as joinAnyHub } from "../notebook/uplink.ts";
import type { Notebook } from "./notebook.ts";

/** Joins a test's notebook to its hub. Ends with the function it returns. */
export function joinHub(
  notebook: Notebook,
  openLink: OpenHubLink,
): {
  sendPace: (count: number) => void;
  answerDoor: (device: DeviceId, yes: boolean) => void;
  leave: () => void;
} {
  const { send, leave } = joinAnyHub(notebook, openLink, (saying) => inHall(notebook, saying));
  return {
    answerDoor: (device, yes) => send({ frame: "door-answer", device, yes }),
    sendPace: (count) => send({ frame: "pace", count }),
    leave,
  };
}

/** What only a belt test says and hears: the floor, who is how far, who is at the door; and what came out of files while no hub was there. */
function inHall(notebook: Notebook, { send, sendOutbox }: Saying): BesideEntries {
  /** Read by those alone who wait for it. */
  const fromFiles = async (pass = notebook.pass) =>
    pass.fromFiles ? await import("./from-files.ts") : undefined;
  /** A chief is told of the coverage behind each welcome, too. */
  async function waitsNoMore() {
    if (await (await fromFiles())?.hasSaidAll(notebook)) await sendOutbox();
  }
  // A stop is told at once, before any disk is asked.
  const stopShouting = notebook.onWritten((entry) => {
    if (entry.kind === "stopped" || entry.kind === "floor-cleared") send({ frame: "floor", entry });
  });

  return {
    lineIs() {
      // Asked anew by whichever hub it comes back to.
      if (notebook.news.doorQuestions.length > 0) notebook.heardNews({ doorQuestions: [] });
    },
    meets: async (before) => (await fromFiles(before))?.meetsHub(notebook, before) ?? {},
    holdsBack: () => notebook.pass.fromFiles !== undefined,
    async handIn(entries, append) {
      const files = await fromFiles();
      append(files ? files.withoutHeldBack(notebook, entries) : entries);
      for (const entry of files?.shoutsHeldBack(notebook, entries) ?? [])
        send({ frame: "floor", entry });
    },
    async hears(frame) {
      switch (frame.frame) {
        case "welcome":
          // Whatever is wrong still is said anew.
          if (notebook.news.damage) notebook.heardNews({ damage: undefined });
          return;
        case "entries":
          return waitsNoMore();
        case "ack":
          await waitsNoMore();
          // An erasing that waits is said again behind each acknowledgement, as long as it does.
          if (notebook.news.damage?.code === "ERASED_WAITS")
            notebook.heardNews({ damage: undefined });
          return;
        case "refuse":
          if (frame.id) return waitsNoMore();
          if (damages.has(frame.fault.code)) notebook.heardNews({ damage: frame.fault });
          return;
        case "coverage":
          notebook.heardNews(covered(notebook, frame));
          return waitsNoMore();
        case "presence":
          return notebook.heardNews({ presence: frame.people });
        case "waiting":
          return notebook.heardNews({ waiting: frame.devices });
        case "door-questions":
          return notebook.heardNews({ doorQuestions: frame.devices });
        case "pace":
          return notebook.heardNews({ count: frame.count });
        case "floor": {
          // What this device writes from now on is newer than the shout: also that the floor is clear.
          notebook.hearsOf(frame.floor.lamport);
          const { book, news } = notebook;
          return notebook.heardNews({ floors: withShout(book, news.floors, frame.floor) });
        }
        default:
          frame satisfies never;
      }
    },
    leave: stopShouting,
  };
}

/** What a hub says of the whole test, of its own accord. */
const damages = faultsThatAre("of-the-whole-test");

function covered(
  { news }: Notebook,
  { whole, work, calls: done }: Extract<FromHub, { frame: "coverage" }>,
): Pick<Notebook["news"], "coverage" | "calls"> {
  const coverage = new Map(whole ? [] : news.coverage);
  for (const one of work) coverage.set(coverageKey(one), one);
  const calls = new Map(whole ? [] : news.calls);
  for (const one of done) calls.set(callKey(one), one);
  return { coverage, calls };
}
