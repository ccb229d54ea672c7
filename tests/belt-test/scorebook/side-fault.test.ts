import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { sideFault } from "../../../src/belt-test/scorebook/side-fault.ts";
import type { PersonId, SideRecordId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { anId } from "../../builders/an-id.ts";

const one = "candidate-1" as CandidateId;
const two = "candidate-2" as CandidateId;
const digest = "a".repeat(64);
const ref = { id: "side-1" as SideRecordId, digest };
const chief = aPen("chief");
const place = { section: anId("blocks"), item: null, side: null };
const record = (about: string, kind: SideRecord["kind"] = "text", is = digest) => ({
  grading: aGradingId,
  about: about as PersonId,
  kind,
  digest: is,
});
const around = { isSeated: (person: string) => person === "judge-1", entry: () => undefined };

describe("whether a name or text is what an entry refers to", () => {
  it("[S60] it is, where it says what it said, is of its kind and about whom the entry is about", () => {
    const note = chief.write("note", { candidate: one, ...place, text: ref });
    expect(sideFault(note, ref, record(one), around)).toBeNull();
    expect(sideFault(note, ref, record(one, "text", "b".repeat(64)), around)).toBe("digest");
    expect(sideFault(note, ref, record(one, "health"), around)).toBe("kind");
    expect(sideFault(note, ref, record(two), around)).toBe("about");
    expect(sideFault(note, ref, record("chief"), around)).toBe("about");
    const other = { ...record(one), grading: anId("another") };
    expect(sideFault(note, ref, other, around)).toBe("digest");
  });

  it("[S60] each kind of entry has the kind of record that belongs to it", () => {
    const entered = chief.write("entered", {
      candidate: one,
      number: 1,
      rubric: anId("a-rubric"),
      given: ref,
    });
    expect(sideFault(entered, ref, record(one, "candidate"), around)).toBeNull();
    expect(sideFault(entered, ref, record(one, "person"), around)).toBe("kind");
    const seated = chief.write("seated", {
      person: "judge-1" as PersonId,
      roles: [],
      details: ref,
    });
    expect(sideFault(seated, ref, record("judge-1", "person"), around)).toBeNull();
    expect(sideFault(seated, ref, record("judge-2", "person"), around)).toBe("about");
    const unfit = chief.write("unfit", { candidate: one, details: ref });
    expect(sideFault(unfit, ref, record(one, "health"), around)).toBeNull();
    expect(sideFault(unfit, ref, record(one, "text"), around)).toBe("kind");
  });

  it("[S60] an incident is about its candidate, or else about its writer; a closing about its writer", () => {
    const bare = chief.write("incident", { text: ref });
    expect(sideFault(bare, ref, record("chief"), around)).toBeNull();
    expect(sideFault(bare, ref, record(one), around)).toBe("about");
    const told = chief.write("incident", { candidate: one, text: ref });
    expect(sideFault(told, ref, record(one), around)).toBeNull();
    expect(sideFault(told, ref, record("chief"), around)).toBe("about");
    const closed = chief.write("closed", { reason: ref });
    expect(sideFault(closed, ref, record("chief"), around)).toBeNull();
    expect(sideFault(closed, ref, record("judge-1"), around)).toBe("about");
  });

  it("[S60] why marks were opened is about a judge or one of the candidates; a correction about whom the corrected is about", () => {
    const revealed = chief.write("revealed", {
      section: place.section,
      candidates: [one],
      reason: ref,
    });
    expect(sideFault(revealed, ref, record("judge-1"), around)).toBeNull();
    expect(sideFault(revealed, ref, record(one), around)).toBeNull();
    expect(sideFault(revealed, ref, record(two), around)).toBe("about");
    const settled = chief.write("review-settled", {
      question: "q",
      candidate: one,
      decision: "stands",
      reason: ref,
    });
    const correction = chief.write("correction", { of: settled.id, reason: ref });
    const knowing = { ...around, entry: () => settled };
    expect(sideFault(correction, ref, record(one), knowing)).toBeNull();
    expect(sideFault(correction, ref, record(two), knowing)).toBe("about");
    expect(sideFault(correction, ref, record(one), around)).toBe("about");
  });
});
