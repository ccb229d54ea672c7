import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { ItemId, RubricId, SectionId } from "../../src/belt-test/identity.ts";
import { readEntry } from "../../src/belt-test/scorebook/entry.ts";
import { readScorebookFile } from "../../src/belt-test/scorebook/read-scorebook-file.ts";
import { isPlainJson } from "../../src/book/plain-json.ts";
import { SideRecord } from "../../src/book/side-record.ts";
import { aMarkedDay } from "../builders/a-marked-day.ts";
import { aGradingId } from "../builders/a-pen.ts";
import { shippedRubrics } from "../builders/shipped-rubrics.ts";

const nested = (depth: number): unknown =>
  JSON.parse(`${'{"a":['.repeat(depth)}${"]}".repeat(depth)}`);
const side = (body: unknown) => ({
  id: "s1",
  grading: aGradingId,
  about: "candidate-1",
  kind: "text",
  salt: "0".repeat(32),
  body,
});

describe("what is nested deeply", () => {
  it("[S23] is not read as an entry, a record or a file, however deep, and breaks nobody", () => {
    const { entries } = aMarkedDay();
    const [mark] = entries.slice(-2);
    // At a million V8's own reader of JSON still answers; whoever walks by calling itself is gone at ten thousand.
    for (const depth of [17, 500, 10_000, 200_000]) {
      const deep = nested(depth);
      expect(isPlainJson(deep)).toBe(false);
      expect(readEntry({ ...mark, extra: deep }).ok).toBe(false);
      expect(readEntry({ ...mark, kind: "of-another-year", body: { deep } }).ok).toBe(false);
      expect(SideRecord.safeParse(side({ text: deep })).success).toBe(false);
      const beside = { ...side({ text: "as written" }), extra: deep };
      expect(SideRecord.safeParse(beside).success).toBe(false);
      const file = { format: "evenhand-scorebook", version: 1, grading: aGradingId, sides: [] };
      expect(readScorebookFile({ ...file, entries: [], sides: [beside] }).ok).toBe(false);
      expect(readScorebookFile({ ...file, entries: [{ ...mark, extra: deep }] })).toMatchObject({
        ok: false,
        problem: "entry-malformed",
      });
    }
  });

  it("[S23] a key called __proto__ is refused wherever it stands, and changes nothing", () => {
    const { entries } = aMarkedDay();
    const text = JSON.stringify(entries.at(-1));
    fc.assert(
      fc.property(fc.nat({ max: 200 }), (nth) => {
        // Put before the nth key of the entry, at any depth.
        let seen = 0;
        const bad = text.replace(/"(\w+)":/g, (key) =>
          seen++ === nth % (text.match(/"(\w+)":/g)?.length ?? 1)
            ? `"__proto__":{"polluted":true},${key}`
            : key,
        );
        expect(bad).toContain("__proto__");
        expect(readEntry(JSON.parse(bad)).ok).toBe(false);
        expect("polluted" in {}).toBe(false);
      }),
    );
  });

  it("[S23] an id called like what every object has is none", () => {
    const { entries } = aMarkedDay();
    const mark = entries.at(-1);
    expect(readEntry({ ...mark, device: "tablet-1" }).ok).toBe(true);
    for (const name of ["constructor", "toString", "valueOf", "hasOwnProperty", "isPrototypeOf"]) {
      expect(readEntry({ ...mark, device: name }).ok).toBe(false);
      expect(readEntry({ ...mark, by: name }).ok).toBe(false);
      const body = { section: "blocks", candidates: [], basis: { [name]: 3 } };
      expect(readEntry({ ...mark, kind: "locked", body }).ok).toBe(false);
      expect([RubricId, SectionId, ItemId].map((id) => id.safeParse(name).success)).toEqual([
        ...[false, false, false],
      ]);
    }
  });

  it("[S23] everything that is really written is read", () => {
    for (const entry of aMarkedDay().entries) expect(readEntry(entry)).toMatchObject({ ok: true });
    for (const { json } of shippedRubrics) expect(isPlainJson(json)).toBe(true);
    expect(isPlainJson(nested(15))).toBe(true);
    expect(SideRecord.safeParse(side({ text: "Invented." })).success).toBe(true);
    for (const flat of [null, 1, "a", true, [], {}, undefined])
      expect(isPlainJson(flat)).toBe(true);
  });
});
