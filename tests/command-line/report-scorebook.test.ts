import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { heldOf } from "../../src/belt-test/scorebook/what-was-held.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId, SideRecordId } from "../../src/book/identity.ts";
import { aPen } from "../builders/a-pen.ts";
import { aMark, type aTestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";
import { aScorebookFile } from "./a-scorebook-file.ts";
import { aFolder, run } from "./run.ts";

const report = (file: unknown, ...more: string[]) =>
  run(aFolder({ "book.json": file as object }), ["report", "book.json", ...more]);

describe("report on a scorebook file", () => {
  it("brings its rubrics, and says who was absent and what was issued", async () => {
    const { day, file } = aScorebookFile((the) => [
      the.chief.write("verdict", {
        candidate: anId("candidate-1"),
        result: "pass",
        retestSections: [],
        computed: "incomplete",
        reason: { id: "side-why" as SideRecordId, digest: "0".repeat(64) },
        basis: {},
      }),
    ]);
    const { code, out } = await report(file, "--json");
    expect(code).toBe(0);
    const json = JSON.parse(out);
    expect(json.grading).toEqual({
      id: "grading-1",
      title: "Summer belt test",
      date: "2026-06-06",
    });
    expect(json.rubrics).toEqual([{ id: day.rubric.id, version: 1 }]);
    expect(
      json.candidates.map((one: Record<string, unknown>) => [
        one.candidate,
        one.computed,
        one.issued,
      ]),
    ).toEqual([
      ["candidate-1", "pass", "pass"],
      ["candidate-2", "pass", null],
      ["candidate-3", "incomplete", "absent"],
    ]);
    const table = await report(file);
    expect(table.out).toContain("Summer belt test · 2026-06-06");
    expect(table.out).toMatch(/candidate-1 +pass, issued/);
  });

  it("[V132] names what could turn a result over which a verdict was issued, and where what is computed is otherwise", async () => {
    const candidate = "candidate-1" as CandidateId;
    const related = (the: ReturnType<typeof aTestDay>, judge: number) =>
      the.judges[judge]?.pen.write("related", { candidate, relation: "own-student" }) as AnyEntry;
    const basis = heldOf(fold(aScorebookFile().file.entries), candidate);
    const issued = (result: "pass" | "retest") => (the: ReturnType<typeof aTestDay>) => {
      const reason = { id: "side-why" as SideRecordId, digest: "0".repeat(64) };
      const body = { candidate, result, retestSections: [], computed: "pass" as const };
      return the.chief.write("verdict", { ...body, reason, basis }) as AnyEntry;
    };
    const clear = aScorebookFile((the) => [issued("pass")(the)]).file;
    const { out: nothing } = await report(clear);
    expect(nothing).toContain("No open question could change a result.");
    expect(nothing).not.toContain("computed:");
    // Both judges' marks may be left out: nothing would be seen.
    const { file } = aScorebookFile((the) => [
      related(the, 0),
      related(the, 1),
      issued("retest")(the),
    ]);
    const { out } = await report(file);
    expect(out).not.toContain("No open question could change a result.\n");
    expect(out).toContain("No open question could change a result that is not issued yet.");
    expect(out).toMatch(/candidate-1 +retest, issued .*computed: pass.* 2 \?\n/);
    expect(out).toMatch(/Issued, and a question that could turn it is open\n─+\n1 candidate-1: /);
  });

  it("[V137] says what is to be repeated as the verdict says it, also where other sections were computed", async () => {
    const candidate = "candidate-1" as CandidateId;
    const basis = heldOf(fold(aScorebookFile().file.entries), candidate);
    const reason = { id: "side-why" as SideRecordId, digest: "0".repeat(64) };
    const { file } = aScorebookFile((the) => [
      the.chief.write("verdict", {
        ...{ candidate, result: "retest", retestSections: ["etiquette" as SectionId] },
        ...{ computed: "pass", reason, basis },
      }),
    ]);
    const { out } = await report(file);
    expect(out.replaceAll(/\s+/g, " ")).toMatch(
      /retest, issued .*repeat: Etiquette .*computed: pass/,
    );
    const json = JSON.parse((await report(file, "--json")).out);
    expect(json.candidates[0].retestSections).toEqual(["etiquette"]);
    expect(json.candidates[1].retestSections).toEqual([]);
  });

  it("[S244] says who came in on a further tablet, when and at whose word, and nothing where nobody did", async () => {
    const letIn = (agreed: boolean) =>
      aPen("chief", `door-${agreed}`).write("let-in", {
        person: "judge-1" as PersonId,
        device: "spare" as DeviceId,
        decidedBy: "judge-2" as PersonId,
        agreed,
      });
    const { file } = aScorebookFile(() => [letIn(false), letIn(true)]);
    const without = aScorebookFile().file;
    const json = JSON.parse((await report(file, "--json")).out);
    const { kept, ...others } = json;
    expect(kept.letIns).toEqual(
      [false, true].map((agreed) => ({
        person: "judge-1",
        device: "spare",
        decidedBy: "judge-2",
        at: "2026-06-06T10:00:00.000Z",
        agreed,
      })),
    );
    expect(others).toEqual(JSON.parse((await report(without, "--json")).out));
    const table = (await report(file)).out;
    expect(table).toMatch(
      /Ines Halvorsen came in on a further tablet at \d\d:\d\d, let in by\s+judge-2\./,
    );
    expect(table).toMatch(/Ines\s+Halvorsen\s+said\s+yes\s+to\s+it/);
    expect((await report(without)).out).not.toMatch(/further tablet/i);
  });

  it("asks about a judge's blanks, which paper cannot", async () => {
    const { file } = aScorebookFile((day) => {
      const pen = day.judges[0]?.pen;
      if (!pen) throw new Error("a day without judges");
      return [aMark(pen, { candidate: "candidate-1", level: "cleared" })];
    });
    const { out } = await report(file, "--json");
    const [first] = JSON.parse(out).candidates;
    expect(first.flags.map(({ kind }: { kind: string }) => kind)).toContain("blank");
    expect(first.flags[0]).toHaveProperty("key");
    expect(first.flags[0]).toHaveProperty("effect");
  });

  it.each([
    ["another file", () => ({ sections: [] }), "not a scorebook file"],
    ["a list", () => [], "not a scorebook file"],
    [
      "next year's form",
      (file: Record<string, unknown>) => ({ ...file, version: 2 }),
      "version: this scorebook file is of a version",
    ],
    [
      "a field too many",
      (file: Record<string, unknown>) => ({ ...file, extra: 1 }),
      "book.json, extra: ",
    ],
    [
      "a field too few",
      (file: Record<string, unknown>) => ({ ...file, entries: undefined }),
      "book.json, entries: ",
    ],
    [
      "a broken entry",
      (file: { entries: object[] }) => ({
        ...file,
        entries: file.entries.with(0, { ...file.entries[0], lamport: "x" }),
      }),
      "book.json, entries[0].lamport: ",
    ],
    [
      "another test's entry",
      (file: { entries: object[] }) => ({
        ...file,
        entries: file.entries.with(3, { ...file.entries[3], grading: "grading-2" }),
      }),
      "book.json, entries[3].grading: ",
    ],
    [
      "a used id with another body",
      (file: { entries: object[] }) => ({
        ...file,
        entries: [...file.entries, { ...file.entries[0], at: 1 }],
      }),
      "].id: another entry has the same id",
    ],
    [
      "a used number of a tablet",
      (file: { entries: object[] }) => ({
        ...file,
        entries: [
          ...file.entries,
          { ...file.entries[0], id: "00000000-0000-7000-8000-ffffffffffff" },
        ],
      }),
      "].n: another entry of the same tablet",
    ],
    [
      "a broken name",
      (file: { sides: object[] }) => ({ ...file, sides: [{ ...file.sides[0], salt: 1 }] }),
      "book.json, sides[0].salt: ",
    ],
  ])("refuses %s, with its path", async (_, change, words) => {
    const { file } = aScorebookFile();
    const { code, out, err } = await report((change as (one: unknown) => unknown)(file));
    expect(code).toBe(2);
    expect(out).toBe("");
    expect(err).toContain(words);
  });

  it.each([
    ["an unknown candidate", { candidate: "nobody" }, "Candidate “nobody” is not entered"],
    ["an unknown item", { item: "flying-kick" }, "has no item “flying-kick”"],
    [
      "a criterion nobody asked for",
      { criterion: "spirit" },
      "“spirit” is not marked for “rising-block”",
    ],
    ["a level off the scale", { level: 7 }, "A mark of 7 is off the scale"],
  ])("names a mark of %s", async (_, mark, words) => {
    const { file } = aScorebookFile((day) => {
      const pen = day.judges[1]?.pen;
      if (!pen) throw new Error("a day without judges");
      return [aMark(pen, mark)];
    });
    const { code, err } = await report(file);
    expect(code).toBe(2);
    expect(err).toContain(words);
    expect(err).toMatch(/entries\[\d+\]\.body\.cells\[0\]/);
  });

  it("takes no rubric or roster beside it, and says so", async () => {
    const { file } = aScorebookFile();
    expect((await report(file, "--rubric", "r.json")).err).toContain("brings its own rubrics");
  });

  it("explains a file that is not JSON by its line", async () => {
    const { code, err } = await report('{"format": "evenhand-scorebook",\n "version": 1,,\n}');
    expect(code).toBe(2);
    expect(err).toContain("book.json, line 2: this is not JSON");
  });

  it("keeps entries of a kind from another year", async () => {
    const { file } = aScorebookFile();
    const strange = {
      ...file.entries[0],
      id: "00000000-0000-7000-8000-fffffffffffe",
      n: 500,
      kind: "sung",
      body: { loud: true },
    };
    expect((await report({ ...file, entries: [...file.entries, strange] })).code).toBe(0);
  });
});
