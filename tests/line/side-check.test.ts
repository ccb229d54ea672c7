import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { testSides } from "../../src/belt-test/scorebook/test-sides.ts";
import type { PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { isUnsound, SideCheck } from "../../src/line/side-check.ts";
import { aGradingId, anEntryId, aPen } from "../builders/a-pen.ts";
import { anId } from "../builders/an-id.ts";

let salt = 1;
const chance = {
  makeId: anEntryId,
  random: (bytes: number) => new Uint8Array(bytes).fill(salt++ % 250),
};
const aText = (about: string, text = "Invented.", kind: SideRecord["kind"] = "text") =>
  makeSideRecord({ grading: aGradingId, about: about as PersonId, kind, body: { text } }, chance);
const place = { section: anId("blocks"), item: null, side: null };

/** Two candidates with a note each, and an incident. */
function aBook() {
  const chief = aPen("chief");
  const [first, second] = ["candidate-1", "candidate-2"] as CandidateId[] as [
    CandidateId,
    CandidateId,
  ];
  const texts = [aText(first, "About the first."), aText(second, "About the second.")] as const;
  const said = aText("chief", "What happened.");
  const entries = [
    chief.write("note", { candidate: first, ...place, text: texts[0].ref }),
    chief.write("note", { candidate: second, ...place, text: texts[1].ref }),
    chief.write("incident", { text: said.ref }),
  ];
  return { chief, first, second, entries, records: [...texts, said].map(({ record }) => record) };
}
function check(entries: Iterable<never>, records: Iterable<SideRecord>): SideCheck {
  const made = new SideCheck(testSides);
  for (const entry of entries) made.note(entry);
  for (const record of records) made.take(record);
  return made;
}
const why = (made: SideCheck) => made.findings().map((one) => one.why);

describe("the names and texts beside a book", () => {
  it("[Y60] are all right as they were written, in whatever order they are read", () => {
    const { entries, records } = aBook();
    expect(check(entries as never[], records).findings()).toEqual([]);
    const backwards = new SideCheck(testSides);
    for (const record of records) backwards.take(record);
    for (const entry of [...entries].reverse()) backwards.note(entry);
    expect(backwards.findings()).toEqual([]);
    expect(records.every(({ id }) => backwards.isTrue(id))).toBe(true);
  });

  it("[Y181] no stop, withdrawal or line of a kind to come makes them look changed, whatever it points at", () => {
    const { entries, records, first } = aBook();
    const liar = aPen("judge-1");
    const pointed = fc.constantFrom(...records.map(({ id }) => id), "side-of-nobody");
    const digest = fc.constantFrom("0".repeat(64), "f".repeat(64));
    fc.assert(
      fc.property(pointed, digest, fc.integer({ min: 0, max: 2 }), (id, seal, kind) => {
        const extra = { wave: null, candidate: first, why: null, x: { id, digest: seal } };
        const names = ["stopped", "withdrawn", "next-year"] as const;
        const line = { ...liar.write("stopped", extra), kind: names[kind], body: extra };
        const made = check([...entries, line] as never[], records);
        expect(made.findings().filter(isUnsound)).toEqual([]);
        expect([made.named, made.gone]).toEqual([3, 0]);
        for (const record of records) expect(made.isTrue(record.id)).toBe(true);
      }),
    );
  });

  it("[Y60] whatever one of them is changed into is named, and is not what its entry refers to", () => {
    const { entries, records } = aBook();
    const changes: ((one: SideRecord) => SideRecord)[] = [
      (one) => ({ ...one, body: { text: "Something else." } }),
      (one) => ({ ...one, salt: "f".repeat(32) }),
      (one) => ({ ...one, kind: "health" }),
      (one) => ({ ...one, about: "candidate-9" as CandidateId }),
    ];
    fc.assert(
      fc.property(fc.nat(2), fc.constantFrom(...changes), (at, change) => {
        const changed = records.map((one, index) => (index === at ? change(one) : one));
        const made = check(entries as never[], changed);
        expect(made.findings().map(({ id }) => id)).toEqual([records[at]?.id]);
        expect(made.findings().every(isUnsound)).toBe(true);
        expect(made.isTrue(records[at]?.id as never)).toBe(false);
      }),
    );
  });

  it("[Y60] exchanged bodies, one taken out and one put in are each named", () => {
    const { entries, records } = aBook();
    const [first, second, said] = records as [SideRecord, SideRecord, SideRecord];
    const exchanged = [{ ...first, body: second.body }, { ...second, body: first.body }, said];
    expect(why(check(entries as never[], exchanged))).toEqual(["digest", "digest"]);
    expect(why(check(entries as never[], [first, said]))).toEqual(["missing"]);
    const stray = aText("candidate-1").record;
    expect(why(check(entries as never[], [...records, stray]))).toEqual(["stray"]);
  });

  it("[Y60] nothing is missing of whom is erased, and an incident may be there without its words", () => {
    const { chief, first, entries, records } = aBook();
    const [, second] = records as [SideRecord, SideRecord];
    const without = check(entries as never[], [second]);
    expect(why(without)).toEqual(["missing", "wordless"]);
    expect(without.findings([first]).filter(isUnsound)).toEqual([]);
    without.note(chief.write("erased", { about: first }));
    expect(without.findings().filter(isUnsound)).toEqual([]);
  });

  it("[Y60] a text filed under somebody else goes with whom its entry is about", () => {
    const { chief, first, second } = aBook();
    const misfiled = aText(second, "About the first.");
    const note = chief.write("note", { candidate: first, ...place, text: misfiled.ref });
    const made = check([note] as never[], [misfiled.record]);
    expect(why(made)).toEqual(["about"]);
    expect(made.isTrue(misfiled.record.id)).toBe(false);
    expect(made.goesWith(misfiled.record.id, new Set([first]))).toBe(first);
    expect(made.goesWith(misfiled.record.id, new Set([second]))).toBe(second);
  });
});
