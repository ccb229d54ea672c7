import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { PenOf } from "../../src/book/pen.ts";
import { lackedBy } from "../../src/line/holds.ts";
import type { FromHub, FromTablet } from "../../src/line/protocol.ts";
import type { OpenHubLink } from "../../src/ports/hub-link.ts";
import type { BesideEntries } from "../../src/tablet/notebook/beside-entries.ts";
import type { BookRules } from "../../src/tablet/notebook/book-rules.ts";
import { NotebookOf } from "../../src/tablet/notebook/notebook.ts";
import { joinHub } from "../../src/tablet/notebook/uplink.ts";
import { openMemoryTabletStore, TabletDisk } from "../world/memory-tablet-store.ts";
import { Life, Timeline } from "../world/timeline.ts";
import { aGradingId, anEntryId } from "./a-pen.ts";
import { Register, type RegisterBodies, register, registerPen } from "./a-register.ts";

interface OfficeNews {
  /** How many sit at the hub's desk. */
  desk: number;
}

/** What a notebook asks of a register. */
const rules: BookRules<Register, RegisterBodies, OfficeNews> = {
  newBook: () => new Register(),
  readEntry: register.readEntry,
  newPen: (settings) => new PenOf(registerPen, settings),
  noNews: { desk: 0 },
  // Who joined goes before what is said of them.
  inTurn: (entries) =>
    [...entries].sort((a, b) => Number(b.kind === "joined") - Number(a.kind === "joined")),
  owedAgain: (entries, device, holds) => lackedBy(holds, device, entries),
  staysUnsaid: () => false,
  mayComeYet: (_book, { kind }, { code }) => kind === "judged" && code === "SIDE_RECORD_MISSING",
  // Of one month nobody needs two ends.
  isOvertaken: (entry, book) =>
    register.isKnown(entry) && entry.kind === "month-over"
      ? book.monthsOver.has(entry.body.month)
      : undefined,
  notSaidAgain: () => [],
};

/** An office's tab on a tablet's disk, and a hub at the other end of its line that the test holds in its hand. */
export async function aRegisterTab({ disk = new TabletDisk(), time = new Timeline() } = {}) {
  const store = openMemoryTabletStore(disk);
  const pass = (await store.pass(aGradingId)) ?? {
    grading: aGradingId,
    device: "office" as DeviceId,
    person: "ada" as PersonId,
    roles: [],
    token: "t".repeat(30),
    name: "The register",
    cursor: 0,
    lastContactMs: 0,
  };
  await store.keepPass(pass);
  const clock = new Life(time, { skewMs: 0 });
  const nowMs = () => clock.nowMs();
  const notebook = await NotebookOf.open(rules, { store, pass, makeId: anEntryId, nowMs, clock });
  const said: FromTablet[] = [];
  let hub: Parameters<OpenHubLink>[0] | undefined;
  const quiet: BesideEntries = {
    lineIs: (state) => notebook.heardNews({ desk: state === "live" ? 1 : 0 }),
    meets: async () => ({}),
    hears: async () => undefined,
    holdsBack: () => false,
    handIn: async (entries, append) => append(entries),
    leave: () => undefined,
  };
  const { leave } = joinHub(
    notebook,
    (listener) => {
      hub = listener;
      return { send: (frame) => void said.push(frame), again: () => undefined, close() {} };
    },
    () => quiet,
  );
  const settled = () => time.runUntil(time.nowMs + 10);
  return {
    disk,
    time,
    notebook,
    said,
    leave,
    /** The line comes, and the hub lets it in. */
    async connect(more: Partial<Extract<FromHub, { frame: "welcome" }>> = {}) {
      hub?.onState("live");
      await settled();
      const { person = "ada" as PersonId, roles } = pass;
      const welcome = { frame: "welcome", protocol: 2, person, roles, feed: "f" } as const;
      hub?.onFrame({ ...welcome, resumed: true, ...more });
      await settled();
    },
    async say(...frames: FromHub[]) {
      for (const frame of frames) hub?.onFrame(frame);
      await settled();
    },
    sent: () =>
      said.flatMap((one) => (one.frame === "append" ? one.entries : [])) as Partial<AnyEntry>[],
  };
}
