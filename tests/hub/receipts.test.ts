import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../src/belt-test/scorebook/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { GradingRoom } from "../../src/hub/room/grading-room.ts";
import { HeldBox } from "../../src/hub/seals/held-box.ts";
import { openMemoryScorebook } from "../../src/hub/store/memory-scorebook.ts";
import { withReceipt } from "../../src/line/receipt.ts";
import { aBox } from "../builders/a-box.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";

const day = aTestDay({ judges: 1, candidates: 1 });
const [judge] = day.judges as [(typeof day.judges)[0]];
const mine = {
  person: judge.person as PersonId,
  roles: ["judge"] as const,
  device: judge.pen.device as DeviceId,
};
const chief = {
  person: "chief" as PersonId,
  roles: ["chief"] as const,
  device: day.chief.device as DeviceId,
};
const roomWith = async (box: HeldBox) => {
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub", { box });
  expect((await room.handIn(chief, day.plan)).refused).toEqual([]);
  return room;
};

describe("what a hub gives for a line that it has kept", () => {
  const closed = day.chief.write("closed", {}) as AnyEntry;
  // It comes before the closing and bears a later time: this judge has heard somebody's stop.
  judge.pen.hear(100);
  const mark = aMark(judge.pen, { candidate: "candidate-1" as CandidateId }) as AnyEntry;

  /** The hub that was lost has the mark; the one that was put back hears first that the test is closed. */
  async function lostAndPutBack(key = aBox()) {
    const lost = await roomWith(aBox());
    await lost.handIn(mine, [mark]);
    const [receipt = ""] = lost.receiptsFor([mark.id]) ?? [];
    const room = await roomWith(key);
    await room.handIn(chief, [closed]);
    const handIn = async (line: object) =>
      (await room.handIn(mine, [line])).refused[0]?.fault.code ?? "kept";
    return { room, handIn, receipt };
  }

  it("[H180] makes a hub that was put back keep it again, as it was, whatever it has heard by then", async () => {
    const { room, handIn, receipt } = await lostAndPutBack();
    expect(await handIn(mark)).toBe("GRADING_CLOSED");
    const again = await lostAndPutBack();
    expect(await again.handIn(withReceipt(mark, new Map([[mark.id, receipt]])))).toBe("kept");
    expect(again.room.book.entry(mark.id)).toEqual(mark);
    expect(room.book.entry(mark.id)).toBeUndefined();
  });

  it("[H180] is good for that line alone, of that hub alone", async () => {
    const { handIn, receipt } = await lostAndPutBack();
    const body = {
      ...mark.body,
      cells: [{ ...(mark.body as never as { cells: [object] }).cells[0], level: 4 }],
    };
    for (const line of [
      { ...mark, body },
      { ...mark, lamport: mark.lamport + 1 },
    ])
      expect(await handIn({ ...line, receipt })).toBe("GRADING_CLOSED");
    for (const made of ["", "0".repeat(32), 7, null, {}, receipt.slice(1)])
      expect(await handIn({ ...mark, receipt: made })).toBe("GRADING_CLOSED");
    const { handIn: toOther } = await lostAndPutBack(new HeldBox("another hub's"));
    expect(await toOther({ ...mark, receipt })).toBe("GRADING_CLOSED");
    const theirs = await lostAndPutBack();
    expect((await theirs.room.handIn(chief, [{ ...mark, receipt }])).refused[0]?.fault.code).toBe(
      "NOT_YOURS",
    );
  });
});
