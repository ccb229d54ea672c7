import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import type { Rules } from "../../../src/belt-test/scorebook/rules.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { Basis } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { EntryId, PersonId } from "../../../src/book/identity.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { aTextRef } from "../../builders/an-id.ts";

const [mia, ben] = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];
const nobody = "nobody" as CandidateId;
const [seated, unseated] = ["judge-2", "judge-9"] as [PersonId, PersonId];
const [blocks, none] = ["blocks", "no-such"] as [SectionId, SectionId];
const reason = aTextRef("side-1");
const basis = {} as Basis;

/** What the chief's hand writes of somebody or something that is not there, and the same of what is; `there` comes into the book before. */
function written(rules?: Rules) {
  const day = aTestDay(rules ? { rules } : {});
  const { chief } = day;
  const verdict = (retestSections: SectionId[]) =>
    chief.write("verdict", {
      ...{ candidate: mia, result: "retest", computed: "retest", retestSections, basis },
    });
  const opening = (candidates: CandidateId[], section: SectionId) =>
    chief.write("revealed", { section, candidates, reason });
  const settled = (candidate: CandidateId) =>
    chief.write("review-settled", { question: "x", candidate, decision: "stands", reason });
  const lines = (lanes: CandidateId[]) => chief.write("lined-up", { wave: 2, lanes });
  const assigned = (judge: PersonId) =>
    chief.write("assigned", { judge, section: blocks, candidates: [mia] });
  const replaced = (by: PersonId) =>
    chief.write("judge-replaced", { judge: "judge-1" as PersonId, by });
  const issued = verdict([blocks]);
  const correction = (of: EntryId) => chief.write("correction", { of, reason });
  const sheet = (candidate: CandidateId) => chief.write("sheet-released", { candidate });
  const rows: [string, string, AnyEntry, AnyEntry][] = [
    ["a seat: assigned", "NOT_SEATED", assigned(unseated), assigned(seated)],
    ["a seat: put in another's place", "NOT_SEATED", replaced(unseated), replaced(seated)],
    ["a candidate in a lane", "CANDIDATE_UNKNOWN", lines([mia, nobody]), lines([ben, mia])],
    ["a second place of one child", "LANE_OTHER", lines([mia, ben, mia]), lines([mia, ben])],
    [
      "a candidate opened",
      "CANDIDATE_UNKNOWN",
      opening([mia, nobody], blocks),
      opening([mia, ben], blocks),
    ],
    ["a section opened", "ITEM_UNKNOWN", opening([mia], none), opening([mia], blocks)],
    ["a candidate of a question", "CANDIDATE_UNKNOWN", settled(nobody), settled(mia)],
    ["a section to repeat", "ITEM_UNKNOWN", verdict([blocks, none]), verdict([blocks])],
    ["a verdict to tell", "VERDICT_MISSING", sheet(ben), sheet(mia)],
    [
      "an entry to correct",
      "NOTHING_TO_CORRECT",
      correction("none" as EntryId),
      correction(issued.id),
    ],
  ];
  return { rows, book: fold([...day.plan, issued]) };
}

describe("a chief's line about what is not there", () => {
  const head = { person: "chief" as PersonId, roles: ["chief"] as const };

  it.each(written().rows.map(([what], at) => [what, at] as const))(
    "[S171] %s: is refused by name, and the same about what is there is taken",
    (_, at) => {
      const { rows, book } = written();
      const [, code, odd, right] = rows[at] as (typeof rows)[number];
      expect(refusal(book, head, odd)?.code).toBe(code);
      expect(refusal(book, head, right)).toBeNull();
    },
  );

  it("[S171] gets a sheet released of whoever withdrew, without a verdict", () => {
    const { chief, plan } = aTestDay();
    const left = chief.write("withdrawn", { candidate: ben, why: "own-wish" });
    const sheet = chief.write("sheet-released", { candidate: ben });
    expect(refusal(fold([...plan, left]), head, sheet)).toBeNull();
  });

  it("[S171] goes on in a plan of the first rules as it was begun", () => {
    const { rows, book } = written(1);
    for (const [what, , odd] of rows.slice(0, 4))
      expect([what, refusal(book, head, odd)]).toEqual([what, null]);
  });
});
