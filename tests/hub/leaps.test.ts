import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { SectionId } from "../../src/belt-test/identity.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { isHeldIn } from "../../src/line/holds.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

/** Somebody's tablet as it must behave: sends what the hub lacks, hears what it is sent, and offers again. */
class Tablet {
  readonly written: AnyEntry[] = [];
  readonly pen: Pen;
  readonly who: { person: never; roles: readonly Role[]; device: DeviceId };
  /** What the hub would not take when it was asked last. */
  refused: string[] = [];

  constructor(pen: Pen, person: string, roles: readonly Role[]) {
    this.pen = pen;
    this.who = { person: person as never, roles, device: pen.device };
  }
  writes(entry: AnyEntry): void {
    this.written.push(entry);
  }
  async meets(room: GradingRoom, { says = true } = {}): Promise<void> {
    if (says) room.hasHeard(this.who, this.pen.lamport);
    const holds = room.holds(this.who.device);
    const owed = this.written.filter((entry) => !isHeldIn(holds, entry));
    const { refused } = await room.handIn(this.who, owed);
    this.refused = refused.map(({ fault }) => fault.code);
    for (const { entry } of room.feed(this.who).after(0)) this.pen.hear(entry.lamport);
  }
}

function aHall() {
  const day = aTestDay({ judges: 3, candidates: 2 });
  const chief = new Tablet(day.chief, "chief", ["chief"]);
  for (const entry of day.plan) chief.writes(entry);
  const [liar, ...judges] = day.judges.map(
    ({ pen, person }) => new Tablet(pen, person, ["judge"]),
  ) as [Tablet, ...Tablet[]];
  return { day, chief, liar, judges };
}

/** What somebody does next; `leap` by the liar alone. */
const turns = fc.array(
  fc.record({
    who: fc.nat(2),
    what: fc.constantFrom("mark", "stop", "pause", "leap", "leap", "shout", "far stop", "copy"),
    leap: fc.integer({ min: 1, max: 10_000 }),
  }),
  { minLength: 3, maxLength: 25 },
);

describe("a judge's device that leaps in logical time", () => {
  it("[H85] costs nobody else an acknowledgement, also where the hub is put back from an older copy without its leaps", async () => {
    await fc.assert(
      fc.asyncProperty(turns, fc.boolean(), fc.boolean(), async (script, isRestored, isSilent) => {
        const { day, chief, liar, judges } = aHall();
        const honest = [chief, ...judges];
        let store = openMemoryScorebook();
        let room = await GradingRoom.open(aGradingId, store, "hub");
        await chief.meets(room);
        let copied = (await store.read(aGradingId, 0)).map(({ entry }) => entry);
        for (const { who, what, leap } of script) {
          const one = judges[who % judges.length] as Tablet;
          if (what === "mark") one.writes(aMark(one.pen, { level: 1 + (leap % 4) }));
          else if (what === "stop") one.writes(one.pen.write("stopped", { wave: null }));
          else if (what === "pause") chief.writes(chief.pen.write("paused", {}));
          else if (what === "leap") {
            liar.pen.hear(liar.pen.lamport + leap - 1);
            liar.writes(aMark(liar.pen));
            await liar.meets(room, { says: false });
            continue;
          } else if (what === "far stop") {
            liar.pen.hear(2 ** 46 - 1);
            liar.writes(liar.pen.write("stopped", { wave: null }));
            await liar.meets(room);
          } else if (what === "shout") {
            // Told to all, never kept.
            const lamport = room.lamport + leap;
            room.wasShouted(lamport);
            for (const heard of honest) heard.pen.hear(lamport);
          } else copied = (await store.read(aGradingId, 0)).map(({ entry }) => entry);
          for (const each of honest) await each.meets(room);
        }
        // All of it is opened, and so heard by everybody.
        for (const [at, each] of [liar, ...judges].entries()) {
          const { person } = day.judges[at] as (typeof day.judges)[0];
          const book = [...day.plan, ...each.written];
          for (const lock of aLock(
            { person, pen: each.pen },
            "blocks" as SectionId,
            day.candidates,
            book,
          ))
            each.writes(lock);
          await each.meets(room);
        }
        for (const each of honest) await each.meets(room);
        if (isRestored) {
          store = openMemoryScorebook();
          await store.append(aGradingId, copied);
          room = await GradingRoom.open(aGradingId, store, "hub");
        }
        // The chief may write nothing more.
        for (const one of [...(isSilent ? [] : honest), ...judges])
          one.writes(one.pen.write("stopped", { wave: null }));
        // The others come first, and once more when the chief has come.
        for (const each of [...judges, chief, ...judges]) await each.meets(room);
        expect(honest.map(({ refused }) => refused)).toEqual(honest.map(() => []));
        for (const { who, written } of honest)
          expect(written.filter((one) => !isHeldIn(room.holds(who.device), one))).toEqual([]);
      }),
      { numRuns: 75 },
    );
  });
});
