import fc from "fast-check";
import { expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { basisOfPerson } from "../../../src/belt-test/scorebook/out-of-turn.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { SideRecordId } from "../../../src/book/identity.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const reason = { id: "why" as SideRecordId, digest: "0".repeat(64) };

it("[S248] opens marks without a hub, and whoever had locked counts as they locked, whoever is missing as what was held", () => {
  fc.assert(
    fc.property(
      fc.array(fc.constantFrom("locked", "marked", "away"), { minLength: 2, maxLength: 4 }),
      fc.boolean(),
      (states, areNamed) => {
        const day = aTestDay({ judges: states.length, candidates: 1 });
        const book = fold(day.plan);
        const without = day.judges
          .filter((_, at) => states[at] !== "locked")
          .map(({ person }) => person);
        fc.pre(without.length > 0);
        for (const [at, judge] of day.judges.entries()) {
          if (states[at] === "away") continue;
          book.add(aMark(judge.pen, { level: 2 }) as AnyEntry);
          if (states[at] === "locked")
            for (const entry of aLock(judge, blocks, [mia], [...book.entries()])) book.add(entry);
        }
        const stood = book.marks.of(mia, "now");
        day.chief.hear(book.lamport);
        const bases = without.map((judge) => basisOfPerson(book.entries(), judge));
        const basis = Object.assign({}, ...bases);
        const body = { section: blocks, candidates: [mia], reason, basis };
        book.add(
          day.chief.write("revealed", { ...body, ...(areNamed && { without }) }) as AnyEntry,
        );
        expect(book.marks.of(mia, "lock")).toEqual(stood);
        expect(book.marks.late(mia)).toEqual([]);
        // Earlier versions named nobody: of whom nothing was here, a lock from before then is one.
        if (!areNamed) return;
        const locked = book.marks.of(mia, "lock");
        for (const [at, judge] of day.judges.entries()) {
          if (states[at] === "locked") continue;
          book.add(aMark(judge.pen, { level: 4 }) as AnyEntry);
          for (const entry of aLock(judge, blocks, [mia], [...book.entries()])) book.add(entry);
        }
        expect(book.marks.of(mia, "lock")).toEqual(locked);
      },
    ),
  );
});
