import { describe, expect, it } from "vitest";
import type { Role } from "../../../src/belt-test/kinds/body-parts.ts";
import { candidateDetails, inTwo } from "../../../src/belt-test/scorebook/candidate-details.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { sideSight } from "../../../src/belt-test/scorebook/sight.ts";
import { testPack } from "../../../src/belt-test/scorebook/test-pack.ts";
import type { SideRecordId } from "../../../src/book/identity.ts";
import type { SideRecord } from "../../../src/book/side-record.ts";
import { makeSideRecord, sideDigest } from "../../../src/line/make-side-record.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const whole = { given: "Nora", sounds: "NO-ra", family: "Secret", birthYear: 2017 };
const aRecord = (body: Record<string, unknown>, fill: number) =>
  makeSideRecord(
    { grading: aGradingId, about: anId("candidate-1"), kind: "candidate", body },
    { random: (bytes) => new Uint8Array(bytes).fill(fill) },
  );
const { given, rest } = inTwo(whole);
const its = aRecord(given, 1);
const more = aRecord(rest, 2);
const old = aRecord(whole, 3);
const blind: Role[] = ["judge", "caller"];
const seen = (role: Role, record: SideRecord) =>
  sideSight({ person: anId("p"), roles: [role] }, record);

/** The year of birth that fits a digest, tried one after the other. */
const reckoned = (record: SideRecord, digest: string) =>
  Array.from({ length: 120 }, (_, at) => 1920 + at).find(
    (birthYear) =>
      sideDigest({ ...record, body: { ...record.body, family: "Secret", birthYear } }) === digest,
  );

describe("a candidate's name and the rest", () => {
  it("[S313] a record of a kind that this version does not know is shown to nobody", () => {
    for (const role of ["judge", "caller", "desk", "chief"] as const)
      expect(seen(role, { ...its.record, kind: "of-next-year" })).toBeNull();
  });

  it("[S61] judges and callers are sent the given name whole, and the rest not at all", () => {
    for (const role of blind) {
      expect(seen(role, its.record)).toEqual(its.record);
      expect(seen(role, more.record)).toBeNull();
    }
    for (const role of ["chief", "desk"] as const)
      expect([its, more].map(({ record }) => seen(role, record))).toEqual([
        its.record,
        more.record,
      ]);
  });

  it("[S61] of an older record the part comes without what its digest could be tried with", () => {
    // The trial works on the whole record: it would find the year if the salt were there.
    expect(reckoned(old.record, old.ref.digest)).toBe(2017);
    for (const role of blind) {
      const part = seen(role, old.record);
      expect(part?.body).toEqual({ given: "Nora", sounds: "NO-ra" });
      expect(JSON.stringify(part)).not.toContain(old.record.salt);
      expect(reckoned(part as SideRecord, old.ref.digest)).toBeUndefined();
    }
  });

  it("[S61] nothing that a test pack brings can be tried either", () => {
    const book = fold(aTestDay().plan);
    const { sides } = testPack(book, [its.record, more.record, old.record]);
    expect(sides.map(({ body }) => body)).toEqual([given, given]);
    expect(JSON.stringify(sides)).not.toContain(old.record.salt);
    expect(JSON.stringify(sides)).not.toContain(more.record.salt);
  });

  it("[S61] whoever is sent both reads them as one, and whoever reads an old book reads the same", () => {
    const sides = new Map([its, more, old].map(({ record }) => [record.id, record]));
    const side = (id: SideRecordId) => sides.get(id);
    expect(candidateDetails({ given: its.ref, details: more.ref }, side)).toEqual(whole);
    expect(candidateDetails({ given: undefined, details: old.ref }, side)).toEqual(whole);
    sides.delete(more.record.id);
    expect(candidateDetails({ given: its.ref, details: more.ref }, side)).toEqual(given);
    sides.delete(its.record.id);
    expect(candidateDetails({ given: its.ref, details: more.ref }, side)).toBeUndefined();
  });
});
