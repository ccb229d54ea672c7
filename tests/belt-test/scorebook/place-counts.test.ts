import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, RubricId, SectionId } from "../../../src/belt-test/identity.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import type { Rubric } from "../../../src/belt-test/rubric/rubric.ts";
import { borderFault } from "../../../src/belt-test/scorebook/border-fault.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { countedPlace, countOf } from "../../../src/belt-test/scorebook/place-counts.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { isIn } from "../../../src/belt-test/scorebook/seal.ts";
import { heldBesideVerdicts, heldOf } from "../../../src/belt-test/scorebook/what-was-held.ts";
import { deviceOf } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { fnv1a } from "../../../src/book/fnv.ts";
import type { CountId, DeviceId, PersonId } from "../../../src/book/identity.ts";
import { lastOf } from "../../../src/book/last-of.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aPen } from "../../builders/a-pen.ts";
import { aMark } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const tablet = "judge-1-tablet" as DeviceId;
const [one, two] = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];

describe("the counts of a device", () => {
  it("[S191] begin at one in each child's section and go on there without a gap, whatever is written between", () => {
    const acts = fc.array(fc.constantFrom(one, two, "stop", "pause"), { maxLength: 60 });
    fc.assert(
      fc.property(acts, (all) => {
        const pen = aPen("judge-1");
        const entries = all.map(
          (what): AnyEntry =>
            what === "stop"
              ? pen.write("stopped", { wave: null })
              : what === "pause"
                ? pen.write("paused", {})
                : aMark(pen, { candidate: what }),
        );
        for (const [count, last] of lastOf(entries, tablet)) {
          const its = entries.filter(({ device }) => device === count);
          expect(its.map(({ n }) => n)).toEqual(its.map((_, at) => at + 1));
          expect(last).toBe(its.length);
          // All of one count is of one place.
          const places = its.map(({ kind, body }) => JSON.stringify(countedPlace(kind, body)));
          expect(new Set(places).size).toBe(1);
          expect(its.every((entry) => borderFault(entry) === null)).toBe(true);
        }
      }),
    );
  });

  it("[S191] go on where they stood after a start", () => {
    const pen = aPen("judge-1");
    const before = [aMark(pen, { candidate: one }), aMark(pen, { candidate: one })];
    expect([...lastOf(before, tablet)]).toEqual([[before[0]?.device, 2]]);
    expect(deviceOf(before[0]?.device ?? "")).toBe(tablet);
  });

  it("[S191] take nothing of another place, and in the device's own count anything", () => {
    const mark = aMark(aPen("judge-1"), { candidate: one }) as AnyEntry;
    const inCount = (device: CountId) => borderFault({ ...mark, device })?.code;
    expect(inCount(countOf(tablet, { candidate: one, section: anId("blocks") }))).toBeUndefined();
    expect(inCount(tablet)).toBeUndefined();
    for (const place of [
      { candidate: two, section: "blocks" },
      { candidate: one, section: "kicks" },
    ])
      expect(inCount(countOf(tablet, place as never))).toBe("ENTRY_MALFORMED");
    const stop = aPen("judge-1").write("stopped", { wave: null }) as AnyEntry;
    expect(borderFault({ ...stop, device: mark.device })?.code).toBe("ENTRY_MALFORMED");
    // At the door nobody can call a device like another's count.
    expect(readEntry({ ...mark, device: `${mark.device}.67f9cff0` }).ok).toBe(false);
  });
});

describe("what a decision says was held", () => {
  it("[S192] is of its child alone; of the closing what no verdict says", () => {
    const { day, entries } = aMarkedDay();
    const book = fold([...day.plan, ...entries]);
    const all = Object.keys(book.basis).length;
    const held = new Map(day.candidates.map((each) => [each, heldOf(book, each as CandidateId)]));
    for (const [candidate, basis] of held) {
      const own = entries.filter(
        ({ kind, body }) => countedPlace(kind, body)?.candidate === candidate,
      );
      expect(own.length).toBeGreaterThan(0);
      expect(own.every((entry) => isIn(basis, entry))).toBe(true);
      const others = entries.filter(({ kind, body }) => {
        const place = countedPlace(kind, body);
        return place && place.candidate !== candidate;
      });
      expect(others.some((entry) => isIn(basis, entry))).toBe(false);
      expect(Object.keys(basis).length).toBeLessThan(all);
    }
    for (const [candidate, basis] of held)
      book.add(
        day.chief.write("verdict", {
          ...{ candidate: candidate as CandidateId, result: "pass", computed: "pass" },
          ...{ retestSections: [], basis },
        }) as AnyEntry,
      );
    const closing = heldBesideVerdicts(book);
    expect(Object.keys(closing)).toEqual(["chief-tablet"]);
    for (const [count, n] of Object.entries(book.basis)) {
      const said = [closing, ...held.values()];
      expect(said.some((basis) => isIn(basis, { device: count, n }))).toBe(true);
    }
  });
});

describe("two places that would be one count", () => {
  /** Of FNV-1a the step, and the step back: the number by which it multiplies is odd (Noll; see `book/fnv.ts`). */
  const prime = 0x01000193;
  const inverse = Number(BigInt.asUintN(32, modularInverse(BigInt(prime), 1n << 32n)));
  /** What stands between these two texts where all of it has the mark of that place: met in the middle. */
  function between(head: string, tail: string, place: string): string {
    const letters = [..."abcdefghijklmnopqrstuvwxyz0123456789"];
    const words = (length: number): string[] =>
      length === 0 ? [""] : words(length - 1).flatMap((word) => letters.map((one) => word + one));
    const bytes = (text: string) => [...new TextEncoder().encode(text)];
    const back = (hash: number, text: string) =>
      bytes(text).reduceRight((at, byte) => (Math.imul(at, inverse) ^ byte) >>> 0, hash);
    const starts = new Map(words(3).map((word) => [fnv1a(`${head}c${word}`), `c${word}`]));
    const end = back(fnv1a(place), tail);
    for (const word of words(4)) {
      const start = starts.get(back(end, word));
      if (start) return start + word;
    }
    throw new Error("nothing was found");
  }

  // What is open of the one told a stranger how often each judge had tapped at the other, which was closed.
  it("[H183] are not entered: of no child, and by no rubric", () => {
    const { day } = aMarkedDay();
    const { chief, plan, rubric } = day;
    const book = fold(plan);
    const twin = between("", "/blocks", "candidate-1/blocks") as CandidateId;
    expect(countOf(tablet, { candidate: twin, section: "blocks" as SectionId })).toBe(
      countOf(tablet, { candidate: one, section: "blocks" as SectionId }),
    );
    const asChief = { person: "chief" as PersonId, roles: ["chief" as const] };
    const enters = (candidate: string) =>
      chief.write("entered", {
        candidate: candidate as CandidateId,
        number: 99,
        rubric: rubric.id,
      });
    expect(refusal(book, asChief, enters(twin))?.code).toBe("ENTRY_MALFORMED");
    expect(refusal(book, asChief, enters("candidate-99"))).toBeNull();
    // Nor is a rubric taken whose section would be one with another child's.
    const section = between(`${one}/`, "", `${two}/blocks`) as SectionId;
    const sections = rubric.sections.map((its) =>
      its.id === "blocks" ? its : { ...its, id: section },
    );
    const other = { ...rubric, id: "other" as RubricId, sections };
    const freezes = (all: Rubric) => refusal(book, asChief, chief.write("frozen", { rubric: all }));
    expect(freezes(other)?.code).toBe("ENTRY_MALFORMED");
    expect(freezes({ ...rubric, id: "other" as RubricId })).toBeNull();
  });
});

/** By Newton's iteration, modulo a power of two. */
function modularInverse(of: bigint, modulus: bigint): bigint {
  let inverse = 1n;
  for (let step = 0; step < 6; step++) inverse = (inverse * (2n - of * inverse)) % modulus;
  return inverse;
}
