import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import type { PersonId } from "../../../src/book/identity.ts";
import type { Author } from "../../../src/hub/test-room/author.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import { aBox } from "../../builders/a-box.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay, type TestDay } from "../../builders/a-test-day.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

type Judge = TestDay["judges"][number];
const blocks = "blocks" as SectionId;

describe("a lock that is older than one of somebody who is asked no more", () => {
  // A stranger's judge pressed Lock 22 times in a hall of 24 children; with a liar whose logical time had leapt, 9,000 times.
  it.each([30, 9_000])("[H182] is taken when it is made once more (%i on)", async (leap) => {
    const day = aTestDay({ judges: 3, candidates: 2 });
    const [one, two] = day.candidates as [CandidateId, CandidateId];
    const [quick, slow, other] = day.judges as [Judge, Judge, Judge];
    const store = openMemoryScorebook();
    const room = await GradingRoom.open(aGradingId, store, "hub", { box: aBox() });
    const handIn = (pen: Pen, lines: readonly object[]) => {
      const judge = day.judges.find((its) => its.pen === pen);
      const author: Author = judge
        ? { device: pen.device, person: judge.person, roles: ["judge"] }
        : { device: pen.device, person: "chief" as PersonId, roles: ["chief"] };
      return room.handIn(author, [...lines]);
    };
    const locks = ({ pen, person }: Judge) =>
      handIn(pen, aLock({ pen, person }, blocks, [two], [...room.book.entries()]));
    // As the app plans: each watch is one of a wave.
    const plan = day.plan.map((entry) =>
      entry.kind === "assigned"
        ? { ...entry, body: { ...(entry.body as object), wave: 1 } }
        : entry,
    );
    await handIn(day.chief, plan);
    for (const { pen } of day.judges) pen.hear(room.book.lamport);
    quick.pen.hear(room.book.lamport + leap);
    expect((await locks(quick)).refused).toEqual([]);
    // The chief's tablet is told of no closed lock, and takes that judge off the child.
    const watch = room.book.panel.assignments.find((its) => its.judge === quick.person);
    if (!watch) throw new Error("nobody watches");
    const off = day.chief.write("assigned", { ...watch, section: blocks, candidates: [one] });
    expect((await handIn(day.chief, [off])).refused).toEqual([]);
    let told = 0;
    for (const judge of [slow, other]) {
      judge.pen.hear(off.lamport);
      const [first] = (await locks(judge)).refused;
      if (!first) continue;
      told++;
      expect(first.fault.code).toBe("PLAN_OLDER");
      const moment = first.fault.with?.moment as number;
      // A round one: how many lines the other has written is told to nobody.
      expect([moment >= room.book.lamport, moment % 256]).toEqual([true, 0]);
      judge.pen.hear(moment);
      expect((await locks(judge)).refused).toEqual([]);
    }
    expect(told).toBe(1);
    expect(room.book.openings.isRevealed(two, blocks)).toBe(true);
    expect(room.book.openings.hasLockThatCounts(quick.person, two, blocks)).toBe(true);
  });
});
