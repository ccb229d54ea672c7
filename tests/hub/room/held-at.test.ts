import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import type { AnyEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { SideRecordId } from "../../../src/book/identity.ts";
import { heldAt } from "../../../src/hub/room/held-at.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const reason = { id: "why" as SideRecordId, digest: "0".repeat(64) };
type Judge = TestDay["judges"][number];

describe("what the hub held", () => {
  it("[H83] keeps every lock that an opening by hand was written before, also of a judge who stepped back since", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const judges = day.judges as [Judge, Judge];
    const book = fold(day.plan);
    const opening = day.chief.write("revealed", { section: blocks, candidates: [mia], reason });
    for (const judge of judges) {
      judge.pen.hear(40);
      book.add(aMark(judge.pen, { level: 2 }) as AnyEntry);
      for (const entry of aLock(judge, blocks, [mia], [...book.entries()])) book.add(entry);
    }
    const [first] = judges;
    book.add(first.pen.write("recused", { candidate: mia, section: null }) as AnyEntry);
    const stood = book.marks(mia, "lock");
    expect(stood.filter(({ judge }) => judge === first.person).length).toBeGreaterThan(0);
    book.add(opening as AnyEntry);
    let ids = 0;
    const held = heldAt(book, opening as AnyEntry, 0, () => `held-${++ids}`);
    for (const entry of held) book.add(entry);
    expect(book.marks(mia, "lock")).toEqual(stood);
  });
});
