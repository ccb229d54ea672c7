import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { mergeable } from "../../../src/belt-test/intake/persons-file.ts";
import { refusal } from "../../../src/belt-test/permit/refusal.ts";
import { readEntry } from "../../../src/belt-test/scorebook/entry.ts";
import { letIns, letInsToTell } from "../../../src/belt-test/scorebook/let-ins.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { sight } from "../../../src/belt-test/scorebook/sight.ts";
import { Reconciler } from "../../../src/belt-test/verdict/reconciler.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { aMarkedDay } from "../../builders/a-marked-day.ts";
import { aGradingId, anEntryId, aPen } from "../../builders/a-pen.ts";

const everybody = ["chief", "judge-1", "judge-2", "second"];
const { entries } = aMarkedDay();
const aLetIn = (person: string, decidedBy = "second", lamport = 0): AnyEntry => {
  const pen = aPen("chief", `door-${anEntryId()}`);
  pen.hear(lamport);
  const said = { person, device: `spare-${anEntryId()}`, decidedBy };
  return pen.write("let-in", said as never) as AnyEntry;
};

describe("who came in as whom", () => {
  it("[S240] changes no result, no lock and no basis, wherever in the book and at whatever logical time it stands", () => {
    const results = (book: ReturnType<typeof fold>) => {
      const all = new Reconciler(book);
      return [
        book.plan.entrants.map(({ candidate }) => [all.advised(candidate), all.doubt(candidate)]),
        all.panel(),
        book.basis,
      ];
    };
    const before = results(fold(entries));
    const at = fc.integer({ min: 0, max: entries.length });
    fc.assert(
      fc.property(
        fc.array(fc.tuple(at, fc.constantFrom(...everybody), at), { maxLength: 4 }),
        (lines) => {
          const book = [...entries];
          for (const [place, person, lamport] of lines)
            book.splice(place, 0, aLetIn(person, "second", lamport));
          expect(results(fold(book))).toEqual(before);
        },
      ),
      { numRuns: 15 },
    );
  });

  it("[S241] is sent to the chiefs and to that person, whatever else they are, and to nobody else", () => {
    const line = aLetIn("judge-1");
    for (const person of everybody)
      for (const role of ["judge", "caller", "desk", "chief"] as const) {
        const seen = sight(
          { person: person as PersonId, roles: [role] },
          { ...line, by: "hub" as PersonId },
        );
        expect([person, role, seen]).toEqual([
          person,
          role,
          role === "chief" || person === "judge-1" ? "now" : "never",
        ]);
      }
  });

  it("[S242] is written by the hub alone: by no role, but in the chief's name by the hub, and out of nobody's file", () => {
    const book = fold(entries);
    const line = aLetIn("judge-1");
    for (const role of ["judge", "caller", "desk", "chief"] as const) {
      const writer = { person: line.by, roles: [role] };
      expect(refusal(book, writer, line)?.code).toBe("ROLE_MISSING");
      expect(refusal(book, { ...writer, isHubs: true }, line)?.code).toBe(
        role === "chief" ? undefined : "ROLE_MISSING",
      );
    }
    const refs = { refsOf: () => [], hasSide: () => true };
    const file = { grading: aGradingId, entries: [line] };
    expect(mergeable(book, file, "chief" as PersonId, refs)).toMatchObject({
      taken: [],
      refused: [{ index: 0, code: "ROLE_MISSING", with: { kind: "let-in" } }],
    });
    const asJudge = { ...line, by: "judge-1" as PersonId };
    expect(
      mergeable(book, { ...file, entries: [asJudge] }, "judge-1" as PersonId, refs).refused,
    ).toEqual([{ index: 0, code: "ROLE_MISSING", with: { kind: "let-in" } }]);
    // Of a year that says more of it.
    expect(readEntry({ ...line, body: { ...line.body, agreed: "perhaps", how: 1 } }).ok).toBe(true);
  });

  it("[S243] is told to its person until they know of it, but for what they decided themselves", () => {
    const lines = [aLetIn("judge-1"), aLetIn("judge-1", "judge-1"), aLetIn("judge-2")];
    const book = fold([...entries, ...lines]);
    const [first] = lines.map(({ id }) => id);
    const told = (met: (typeof first)[] = []) =>
      letInsToTell(book, "judge-1" as PersonId, met as never).map(({ id }) => id);
    expect(told()).toEqual([first]);
    expect(told([first])).toEqual([]);
    expect(letIns(book)).toHaveLength(3);
    expect(letIns(book)[0]?.device satisfies DeviceId | undefined).toMatch(/^spare-/);
  });
});
