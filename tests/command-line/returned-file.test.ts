import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { type ScorebookFile, scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { readReturned, takeable } from "../../src/tablet/screens/set-up/returned-file.ts";
import type { Notebook } from "../../src/tablet/session/notebook.ts";
import { aGradingId, aPen, revouched } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { aFolder, run } from "./run.ts";

const day = aTestDay();
const [judge] = day.judges as [TestDay["judges"][number]];
const marks = [aMark(judge.pen), aMark(judge.pen, { criterion: "target" })] as AnyEntry[];
const note = makeSideRecord(
  {
    grading: aGradingId,
    about: "candidate-1" as CandidateId,
    kind: "text",
    body: { text: "Low." },
  },
  { random: (bytes) => new Uint8Array(bytes) },
).record;
const [mark] = marks as [AnyEntry];
const level = {
  cells: [{ candidate: "candidate-1", criterion: "chamber", level: 1, how: "tapped" }],
};
const deep = JSON.parse(`${'{"a":'.repeat(60)}1${"}".repeat(60)}`);
const another = (from: AnyEntry, change: object) =>
  revouched({ ...from, ...change } as AnyEntry) as AnyEntry;
const at = (n: number) => ({ n: mark.n + n });

type Made = ScorebookFile & Record<string, unknown>;
const honest = (): Made =>
  JSON.parse(
    JSON.stringify(scorebookFile(aGradingId, [...day.plan, ...marks], [note], judge.person)),
  );
const withLine = (line: unknown): Made => {
  const file = honest();
  return { ...file, entries: [...file.entries, line] };
};

/** What the chief's page says of the file: the lines that it would take, or why it takes none. */
function page(file: unknown): number | string {
  const pass = { grading: aGradingId, person: "chief" as PersonId };
  const notebook = { book: fold(day.plan), pass, sides: new Map() } as unknown as Notebook;
  const bytes = file instanceof Uint8Array ? file : Buffer.from(JSON.stringify(file));
  const read = readReturned(notebook, "judge.json", bytes);
  return read.ok ? takeable(notebook, read.returned).taken.length : read.problem;
}
/** What `import` says of it, after the chief's. */
async function imported(file: unknown): Promise<number | string> {
  const plan = scorebookFile(aGradingId, day.plan, [], "chief" as PersonId);
  const folder = aFolder({ "chief.json": plan, "judge.json": file as object });
  if (file instanceof Uint8Array) writeFileSync(join(folder, "judge.json"), file);
  await run(folder, ["import", "chief.json"]);
  const { code, out, err } = await run(folder, ["import", "judge.json", "--json"]);
  return code === 0 ? JSON.parse(out).added : err;
}

describe("a judge's file that comes back", () => {
  it.each<[string, string, Made]>([
    ["a line that cannot be read", "entries[", withLine({ id: "nonsense", kind: "mark" })],
    [
      "a line nested deeper than any",
      "entries[",
      withLine({ ...mark, kind: "next-year", body: deep }),
    ],
    [
      "two lines at one place",
      "entries[",
      withLine(another(mark, { body: { ...mark.body, ...level }, at: 7, id: "" })),
    ],
    ["one id twice", "entries[", withLine({ ...mark, body: { ...mark.body, ...level } })],
    [
      "a line of another test",
      "entries[",
      withLine(another(mark, { ...at(40), grading: "grading-2" })),
    ],
    [
      "a record twice",
      "sides[",
      { ...honest(), sides: [note, { ...note, body: { text: "High." } }] } as Made,
    ],
    [
      "a record of another test",
      "sides[",
      { ...honest(), sides: [{ ...note, grading: "grading-2" }] } as unknown as Made,
    ],
    [
      "a record of a hub's",
      "chain",
      {
        ...honest(),
        chain: day.plan.map(({ id }) => ({ id, salt: "0".repeat(32), link: "0".repeat(64) })),
      } as Made,
    ],
  ])("[Y233] is taken by neither the chief's page nor import with %s", async (_, where, file) => {
    expect(page(file)).toBe("back-unsound");
    expect(await imported(file)).toContain(where);
  });

  it("[Y233] is taken by both as it was saved, with a line of next year, and with a head that no hub signed", async () => {
    const next = another(mark, {
      ...{ device: judge.pen.device, n: 1 },
      ...{ kind: "next-year", body: { a: ["b"] } },
    });
    const head = { grading: aGradingId, seq: 1, chain: "0".repeat(64), key: "x", signature: "y" };
    for (const [file, lines] of [
      [honest(), 2],
      [withLine(next), 3],
      [{ ...honest(), heads: [head] }, 2],
    ] as const)
      expect([page(file), await imported(file)]).toEqual([lines, lines]);
  });

  it("[Y233] is taken by neither with a letter that is none", async () => {
    const file = { ...honest(), sides: [{ ...note, body: { text: "Löw." } }] };
    const bytes = Buffer.from(JSON.stringify(file), "latin1");
    expect(page(bytes)).toBe("back-not-file");
    expect(await imported(bytes)).toContain("UTF-8");
  });

  it("[Y233] is taken by neither where it says that its judge opened the test", async () => {
    const forged = aPen(judge.person, "a-tablet").write("opened", {
      ...{ title: "Mine", date: "2026-06-06", rules: 3 },
    });
    const file = withLine(forged);
    expect(page(file)).toBe("back-chief");
    const plan = scorebookFile(aGradingId, day.plan, [], "chief" as PersonId);
    const folder = aFolder({ "chief.json": plan, "judge.json": file });
    const { code, err } = await run(folder, ["import", "chief.json", "judge.json"]);
    expect([code, err]).toEqual([2, expect.stringContaining("both say")]);
  });
});
