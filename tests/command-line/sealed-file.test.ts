import { readFileSync } from "node:fs";
import { join } from "node:path";
import fc from "fast-check";
import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { fileSeal, heldInFile, isSealedWith } from "../../src/belt-test/scorebook/file-seal.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { startHub } from "../../src/hub/main.ts";
import { hashOf } from "../../src/hub/seals/secrets.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { aFolder, run } from "./run.ts";

let folder: string;
let day: TestDay;
/** What each judge's tablet was let in with. */
let tokens: string[];

/** A hub that let two judges in, and is down now. */
beforeEach(async () => {
  day = aTestDay({ judges: 2 });
  const plan = scorebookFile(aGradingId, day.plan, [], "chief" as PersonId);
  folder = aFolder({ "chief.json": JSON.parse(JSON.stringify(plan)) });
  expect((await run(folder, ["import", "chief.json"])).err).toBe("");
  const dataFolder = join(folder, "evenhand-data");
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
  const chief = await hub.desk.makeChief("chief-tablet" as DeviceId);
  await hub.desk.makeGrading(chief.token, aGradingId, "chief-tablet" as DeviceId);
  tokens = [];
  for (const { person, pen } of day.judges) {
    const as = { name: person, person, roles: ["judge"] } as const;
    tokens.push((await hub.desk.letIn(aGradingId, pen.device, as)).token);
  }
  await hub.close();
});
const fileOf = (person: string, entries: readonly AnyEntry[]) =>
  scorebookFile(aGradingId, [...day.plan, ...entries], [], person as PersonId);
const imported = async (file: object, ...more: string[]) => {
  const at = aFolder({ "tablet.json": JSON.parse(JSON.stringify(file)) });
  return run(folder, ["import", join(at, "tablet.json"), ...more]);
};
const [one, two] = [0, 1].map((at) => () => day.judges[at] as TestDay["judges"][number]) as [
  () => TestDay["judges"][number],
  () => TestDay["judges"][number],
];

describe("a tablet's file, where a hub let tablets in", () => {
  it("[L95] is taken with the seal of its person's tablet", async () => {
    const file = fileOf("judge-1", [aMark(one().pen)]);
    const seal = fileSeal(heldInFile(file), one().pen.device, tokens[0] ?? "");
    const { code, out } = await imported({ ...file, seal });
    expect([code, out]).toEqual([0, expect.stringContaining("1 new entry")]);
    expect(out).toContain("what one tablet says it holds, that of judge-1");
  });

  it("[L95] is not taken in another's name, without a seal, changed, or with the seal of somebody else's tablet", async () => {
    const file = fileOf("judge-1", [aMark(one().pen)]);
    const held = heldInFile(file);
    const others = fileSeal(held, two().pen.device, tokens[1] ?? "");
    const own = fileSeal(held, one().pen.device, tokens[0] ?? "");
    for (const forged of [
      file,
      { ...file, seal: others },
      { ...file, seal: { ...others, device: one().pen.device } },
      { ...fileOf("judge-1", [aMark(one().pen, { level: 4 })]), seal: own },
      { ...fileOf("judge-2", [aMark(two().pen)]), seal: own },
      fileOf("chief", [day.chief.write("closed", {})]),
    ]) {
      const { code, err } = await imported(forged);
      expect([code, err]).toEqual([2, expect.stringContaining("bears no seal of a tablet")]);
    }
  });

  it("[L95] is not taken with the seal of a tablet that was shut out, nor of whoever knocks under its name", async () => {
    const dataFolder = join(folder, "evenhand-data");
    const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
    const { device } = one().pen;
    await hub.desk.revoke(aGradingId, device);
    const code = await hub.desk.code(aGradingId);
    const knock = { code, device, name: "Kim", wants: "judge", address: "10.0.0.9" } as const;
    await expect(hub.desk.join(knock)).rejects.toMatchObject({ fault: { code: "NOT_YOURS" } });
    await hub.close();
    const file = fileOf("judge-1", [aMark(one().pen)]);
    const seal = fileSeal(heldInFile(file), device, tokens[0] ?? "");
    const { code: exit, err } = await imported({ ...file, seal });
    expect([exit, err]).toEqual([2, expect.stringContaining("bears no seal of a tablet")]);
  });

  it("[L142] of a day on which the hub was away brings what its judges locked before the chief closed by it, in whatever order the files are named", async () => {
    const [mia] = day.candidates as [CandidateId];
    const blocks = "blocks" as SectionId;
    const locked = [one(), two()].map((judge) => {
      judge.pen.hear(day.plan.length);
      const mark = aMark(judge.pen);
      return [mark, ...aLock(judge, blocks, [mia], [...day.plan, mark])];
    });
    const chief = aPen("chief", "chiefs-second-tablet");
    chief.hear(Math.max(...locked.flat().map(({ lamport }) => lamport)));
    const closed = chief.write("closed", {});
    const own = (lines: readonly AnyEntry[], person: string) =>
      JSON.parse(JSON.stringify(fileOf(person, lines)));
    const at = aFolder({
      "a-chief.json": own([...locked.flat(), closed], "chief"),
      "b-judge.json": own(locked[0] ?? [], "judge-1"),
      "c-judge.json": own(locked[1] ?? [], "judge-2"),
    });
    const names = ["a-chief.json", "c-judge.json", "b-judge.json"].map((name) => join(at, name));
    const { code, out } = await run(folder, ["import", ...names, "--vouch"]);
    expect([code, out]).toEqual([0, expect.not.stringMatching(/not taken/)]);
    await run(folder, ["export", aGradingId, "--out", "hub.json"]);
    const { entries } = JSON.parse(readFileSync(join(folder, "hub.json"), "utf8"));
    const book = fold(entries);
    expect(book.plan.isClosed).toBe(true);
    const counted = book.marks.of(mia, "verdict").filter(({ level }) => level !== "not-seen");
    expect(new Set(counted.map(({ judge }) => judge)).size).toBe(2);
  });

  it("[L142] takes what the chief opened before any file was taken before what the files bring", async () => {
    const [mia] = day.candidates as [CandidateId];
    const blocks = "blocks" as SectionId;
    one().pen.hear(day.plan.length);
    const mark = aMark(one().pen);
    const lock = aLock(one(), blocks, [mia], [...day.plan, mark]);
    const chief = aPen("chief", "chiefs-second-tablet");
    // Later in logical time than any mark.
    chief.hear(100);
    const about = "judge-2" as PersonId;
    const { record, ref } = makeSideRecord(
      { grading: aGradingId, about, kind: "text", body: { text: "Went home." } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const opened = chief.write("revealed", { section: blocks, candidates: [mia], reason: ref });
    const since = chief.lamport;
    chief.hear(since + 50);
    const closed = chief.write("closed", {});
    const all = [...day.plan, mark, ...lock, opened, closed];
    const ofChief = scorebookFile(aGradingId, all, [record], "chief" as PersonId, {
      filesSince: since,
    });
    const at = aFolder({
      "chief.json": JSON.parse(JSON.stringify(ofChief)),
      "judge.json": JSON.parse(JSON.stringify(fileOf("judge-1", [mark, ...lock]))),
    });
    const names = ["chief.json", "judge.json"].map((name) => join(at, name));
    await run(folder, ["import", ...names, "--vouch"]);
    await run(folder, ["export", aGradingId, "--out", "hub.json"]);
    const { entries } = JSON.parse(readFileSync(join(folder, "hub.json"), "utf8"));
    const book = fold(entries);
    expect(book.entry(closed.id)).toBeDefined();
    // Late, as on the chief's own page.
    const counted = book.marks.of(mia, "verdict").filter(({ level }) => level !== "not-seen");
    expect(counted).toEqual([]);
  });

  it("[L95] brings no word of the hub's, not even out of a chief's file", async () => {
    const body = { person: "judge-1", device: "ghost", decidedBy: "chief", agreed: true };
    const line = aPen("chief", "other-tablet").write("let-in", body as never);
    const { out } = await imported(fileOf("chief", [line]), "--vouch", "--json");
    expect(JSON.parse(out).refused).toMatchObject([{ kind: "let-in", code: "ROLE_MISSING" }]);
  });

  it("[L95] is taken without one where whoever imports had it from its person's hands", async () => {
    const { code, out } = await imported(fileOf("judge-1", [aMark(one().pen)]), "--vouch");
    expect([code, out]).toEqual([0, expect.stringContaining("1 new entry")]);
  });

  it("[L96] bears a seal that nobody makes without what the tablet was let in with, and that fits nothing else", () => {
    const text = fc.string({ minLength: 1 });
    fc.assert(
      fc.property(text, text, text, text, (held, other, token, guess) => {
        const seal = fileSeal(held, "tablet" as DeviceId, token);
        expect(isSealedWith(held, seal, hashOf(token))).toBe(true);
        expect(isSealedWith(other, seal, hashOf(token))).toBe(other === held);
        expect(isSealedWith(held, seal, hashOf(guess))).toBe(guess === token);
      }),
    );
  });
});
