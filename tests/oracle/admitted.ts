import type { AnyEntry } from "../../src/book/entry.ts";
import type { GradingId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { Handed } from "../../src/hub/room/handed.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { aBox } from "../builders/a-box.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { byHand, type Round } from "../world/lying-hall.ts";

/** What became of a day at a hub's door: what lies on its disk, in its order, and what everybody was answered. */
export interface Admitted {
  entries: AnyEntry[];
  sides: SideRecord[];
  answers: (Handed | { threw: string })[][];
}

/** Hands rounds in to a hub that holds nothing yet, one commit after the other. */
export async function admitted(grading: GradingId, rounds: readonly Round[]): Promise<Admitted> {
  const store = openMemoryScorebook();
  let ids = 0;
  const makeId = () => `00000000-0000-7000-9000-${(++ids).toString(16).padStart(12, "0")}`;
  const room = await GradingRoom.open(grading, store, "hub", {
    clock: byHand,
    makeId,
    box: aBox(),
  });
  const answers: Admitted["answers"] = [];
  for (const round of rounds) {
    const waiting = Promise.allSettled(
      round.map(({ person, roles, device, alsoOn, isOut, entries, sides }) =>
        room.handIn(
          { person, roles, device, alsoOn: new Set(alsoOn), isOut: () => isOut },
          entries,
          sides,
        ),
      ),
    );
    await room.flush();
    answers.push(
      (await waiting).map((one) =>
        one.status === "fulfilled" ? one.value : { threw: String(one.reason) },
      ),
    );
  }
  const lines = await store.read(grading, 0);
  return { entries: lines.map(({ entry }) => entry), sides: await store.sides(grading), answers };
}
