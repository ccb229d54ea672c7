import { mkdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { withPassedOver } from "../../src/book/passed-over.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { openSqliteScorebook } from "../../src/hub/store/sqlite-scorebook.ts";
import { storeFile } from "../../src/hub/store/store-file.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, anEntryId, aPen } from "../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";
import { asFile } from "../oracle/as-file.ts";
import { aFolder, run } from "./run.ts";

const aFile = (entries: readonly AnyEntry[], person?: string, sides: readonly SideRecord[] = []) =>
  JSON.parse(JSON.stringify(scorebookFile(aGradingId, entries, sides, person as PersonId)));
const late = (by: string, device: string, n: number, lamport: number): Pen => {
  const pen = new Pen({
    grading: aGradingId,
    person: by as PersonId,
    device: device as DeviceId,
    makeId: anEntryId,
    nowMs: () => 0,
    last: new Map([[device as DeviceId, n]]),
    lamport,
  });
  pen.hear(lamport);
  return pen;
};

let folder: string;
let day: TestDay;
const imported = async (file: object, name = "tablet.json") => {
  const at = aFolder({ [name]: file });
  const { code, out, err } = await run(folder, ["import", join(at, name), "--json"]);
  return { code, err, ...(out ? JSON.parse(out) : { added: 0, refused: [] }) } as {
    code: number;
    err: string;
    added: number;
    known: number;
    refused: { kind: string; by: string; code: string }[];
  };
};

/** A hub that holds the plan of a test. */
beforeEach(async () => {
  day = aTestDay({ judges: 2 });
  folder = aFolder({ "chief.json": aFile(day.plan, "chief") });
  const { code, err } = await run(folder, ["import", "chief.json"]);
  expect([code, err]).toEqual([0, ""]);
});

describe("a tablet's file that is imported", () => {
  it("[L80] brings what its person wrote, with what it was sent of others, once", async () => {
    const { pen } = day.judges[0] as TestDay["judges"][number];
    const file = aFile([...day.plan, aMark(pen), aMark(pen, { criterion: "target" })], "judge-1");
    expect(await imported(file)).toMatchObject({ added: 2, known: day.plan.length, refused: [] });
    expect(await imported(file)).toMatchObject({ added: 0, known: day.plan.length + 2 });
  });

  it("[L123] takes what the chief's device opened on the road also where its file comes behind the others, each in a command of its own", async () => {
    const text = {
      about: "chief" as PersonId,
      kind: "text" as const,
      body: { text: "Went home." },
    };
    const { ref, record } = makeSideRecord(
      { grading: aGradingId, ...text },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const locked = day.judges.map((judge) => {
      const mark = aMark(judge.pen) as AnyEntry;
      const lock = aLock(judge, "blocks" as SectionId, ["candidate-1" as CandidateId], [
        ...day.plan,
        mark,
      ] as AnyEntry[]);
      return aFile([...day.plan, mark, ...(lock as AnyEntry[])], judge.person);
    });
    const opened = day.chief.write("revealed", {
      section: "blocks" as SectionId,
      candidates: ["candidate-1" as CandidateId],
      reason: ref,
      basis: {},
      without: day.judges.map(({ person }) => person),
      after: {},
    });
    const evening = aFile([...day.plan, opened], "chief", [record]);
    const at = aFolder({
      "0.json": aFile(day.plan, "chief"),
      "1.json": locked[0],
      "2.json": locked[1],
      "3.json": evening,
    });
    for (const n of [0, 1, 2, 3])
      expect((await run(at, ["import", `${n}.json`])).out).not.toContain("not taken");
    await run(at, ["export", aGradingId, "--out", "hub.json"]);
    const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
    expect(entries.some(({ id }: AnyEntry) => id === opened.id)).toBe(true);
  });

  it("[L123] takes all files of a day without a hub in one command: also what the chief decided on what others wrote", async () => {
    const late = "candidate-late" as CandidateId;
    const desk = aPen("desk");
    const seat = day.chief.write("seated", { person: "desk" as PersonId, roles: ["desk"] });
    desk.hear(day.chief.lamport);
    const entered = desk.write("entered", { candidate: late, number: 9, rubric: day.rubric.id });
    day.chief.hear(desk.lamport);
    const lined = day.chief.write("lined-up", { wave: 2, lanes: [late] });
    const withdrawn = desk.write("withdrawn", { candidate: late, why: "unwell" });
    day.chief.hear(desk.lamport);
    const released = day.chief.write("sheet-released", { candidate: late, of: withdrawn.id });
    const heard = [...day.plan, seat, entered, lined, withdrawn, released] as AnyEntry[];
    const at = aFolder({
      "desk.json": aFile([...day.plan, seat, entered, withdrawn], "desk"),
      "chief.json": aFile(heard, "chief"),
    });
    const { code, out } = await run(at, ["import", "desk.json", "chief.json"]);
    expect(code).toBe(0);
    expect(out.indexOf("chief.json")).toBeLessThan(out.indexOf("desk.json"));
    expect(out).not.toMatch(/not taken/);
    await run(at, ["export", aGradingId, "--out", "hub.json"]);
    const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
    const ids = new Set(entries.map(({ id }: AnyEntry) => id));
    expect(heard.filter(({ id }) => !ids.has(id))).toEqual([]);
  });

  it("[L123] takes nothing where two files say to be of the chief's device, and names both", async () => {
    const forged = aPen("judge-2", "a-forged-tablet");
    const at = aFolder({
      "chief.json": aFile(day.plan, "chief"),
      // Whoever has the pack has all of the plan.
      "liar.json": aFile([...day.plan, aPen("chief", "forged").write("closed", {})], "chief"),
      "opener.json": aFile(
        [...day.plan, forged.write("opened", { title: "Mine", date: "2026-06-06", rules: 3 })],
        "judge-2",
      ),
    });
    const second = aPen("chief-2");
    second.hear(50);
    const title = second.write("opened", { title: "Corrected", date: "2026-06-06", rules: 3 });
    const more = aFolder({
      "chief.json": aFile(day.plan, "chief"),
      "second.json": aFile([...day.plan, title], "chief-2"),
    });
    // Who gave the test another title did not open it.
    const both = await run(more, ["import", "chief.json", "second.json"]);
    expect(both.err).not.toContain("both say");
    for (const liars of ["liar.json", "opener.json"]) {
      const { code, err } = await run(at, ["import", "chief.json", liars]);
      expect(code).toBe(2);
      for (const name of ["chief.json", liars]) expect(err).toContain(name);
    }
  });

  it.each([
    ["taken out of the panel", []],
    ["made a caller", ["caller" as const]],
  ])(
    "[L141] takes what the chief's device took of somebody who was %s since, and the files behind theirs",
    async (_, roles) => {
      const desk = aPen("desk");
      const seat = day.chief.write("seated", { person: "desk" as PersonId, roles: ["desk"] });
      desk.hear(day.chief.lamport);
      const one = { candidate: "candidate-1" as CandidateId };
      const told = [
        desk.write("excused", {
          ...one,
          section: "blocks" as SectionId,
          item: anId("low-block"),
        }),
        desk.write("absent", one),
      ];
      day.chief.hear(desk.lamport);
      const since = day.chief.write("seated", { person: "desk" as PersonId, roles });
      const [judge] = day.judges as [TestDay["judges"][number]];
      const mark = aMark(judge.pen) as AnyEntry;
      const untaken = desk.write("checked-in", one);
      const at = aFolder({
        "chief.json": aFile([...day.plan, seat, ...told, since, mark] as AnyEntry[], "chief"),
        "desk.json": aFile([...day.plan, seat, ...told, untaken] as AnyEntry[], "desk"),
        "judge.json": aFile([...day.plan, mark], "judge-1"),
      });
      const { code, err } = await run(at, ["import", "chief.json", "desk.json", "judge.json"]);
      expect([code, err]).toEqual([0, ""]);
      await run(at, ["export", aGradingId, "--out", "hub.json"]);
      const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
      const ids = new Set(entries.map(({ id }: AnyEntry) => id));
      // What that device had not heard of is judged by the role of now.
      expect([...told, mark, untaken].map(({ id }) => ids.has(id))).toEqual([
        true,
        true,
        true,
        false,
      ]);
    },
  );

  it("[L141] takes the other files where one cannot be taken, and says which and why", async () => {
    const [first, second] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
    const marks = [aMark(first.pen), aMark(second.pen)] as AnyEntry[];
    const stop = aPen("somebody").write("stopped", { wave: null }) as AnyEntry;
    const at = aFolder({
      "chief.json": aFile(day.plan, "chief"),
      "1.json": aFile([...day.plan, marks[0] as AnyEntry], "judge-1"),
      "stranger.json": aFile([stop], "somebody"),
      "2.json": aFile([...day.plan, marks[1] as AnyEntry], "judge-2"),
    });
    const names = ["chief.json", "1.json", "stranger.json", "2.json"];
    const { code, out, err } = await run(at, ["import", ...names]);
    expect(code).toBe(2);
    expect(err).toContain("stranger.json");
    expect(err).toContain("knows no somebody");
    for (const name of ["1.json", "2.json"]) expect(out).toContain(name);
    expect(out).not.toContain("stranger.json");
    await run(at, ["export", aGradingId, "--out", "hub.json"]);
    const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
    const ids = new Set(entries.map(({ id }: AnyEntry) => id));
    expect([...marks, stop].map(({ id }) => ids.has(id))).toEqual([true, true, false]);
  });

  it("[S301] takes nothing that the chief's device says it passed over, wherever it lies in its count, and names it", async () => {
    const [judge] = day.judges as [TestDay["judges"][number]];
    const marks = [aMark(judge.pen), aMark(judge.pen), aMark(judge.pen)] as AnyEntry[];
    const [taken, passed, unheard] = marks as [AnyEntry, AnyEntry, AnyEntry];
    const chief = aFile([...day.plan, taken], "chief");
    const come = async (more: object) => {
      const at = aFolder({
        "chief.json": { ...chief, ...more },
        "judge.json": aFile([...day.plan, ...marks], "judge-1"),
      });
      const { code, out } = await run(at, ["import", "judge.json", "chief.json"]);
      expect(code).toBe(0);
      await run(at, ["export", aGradingId, "--out", "hub.json"]);
      const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
      const ids = new Set(entries.map(({ id }: AnyEntry) => id));
      return { here: marks.map(({ id }) => ids.has(id)), named: out.includes(passed.id) };
    };
    const passedOver = withPassedOver([], [passed], []);
    expect(await come({ passedOver })).toEqual({ here: [true, false, true], named: true });
    // A file of before says nothing of that, and is read as it was.
    expect(await come({})).toEqual({ here: [true, true, true], named: false });
    expect(unheard.n).toBe(3);
  });

  it("[L138] shuts nobody's day out for one line that another wrote on their tablet's count", async () => {
    const [honest, liar] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
    const mark = aMark(honest.pen) as AnyEntry;
    const later = aMark(honest.pen) as AnyEntry;
    const stop = late("judge-2", honest.pen.device, 90_000, 40).write("stopped", { wave: 1 });
    const own = aMark(liar.pen) as AnyEntry;
    const files = {
      "liar.json": aFile([...day.plan, own, stop], "judge-2"),
      "honest.json": aFile([...day.plan, mark, later], "judge-1"),
    };
    const come = async (heard: readonly AnyEntry[]) => {
      const at = aFolder({ ...files, "chief.json": aFile([...day.plan, ...heard], "chief") });
      const { code, err } = await run(at, ["import", "chief.json", "liar.json", "honest.json"]);
      if (code !== 0) return err;
      await run(at, ["export", aGradingId, "--out", "hub.json"]);
      const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
      const ids = new Set(entries.map(({ id }: AnyEntry) => id));
      return [mark, later, own, stop].map(({ id }) => ids.has(id));
    };
    // The chief's device knows whose tablet it is; where it has nothing of it, both files are named.
    expect(await come([mark, own])).toEqual([true, true, true, false]);
    const told = await come([]);
    for (const name of ["liar.json", "honest.json"]) expect(told).toContain(name);
  });

  it.each([
    ["by the judge whose it is", "judge-1" as PersonId],
    ["by another, who says to have written it", "judge-2" as PersonId],
  ])(
    "[L139] takes no line that the chief's device has otherwise, and names it: changed %s",
    async (_, person) => {
      const [honest] = day.judges as [TestDay["judges"][number]];
      const mark = aMark(honest.pen, { level: 1 }) as AnyEntry;
      const cells = (mark.body as { cells: object[] }).cells.map((cell) => ({ ...cell, level: 4 }));
      const changed = { ...mark, by: person, body: { ...mark.body, cells } } as AnyEntry;
      const files = {
        "chief.json": aFile([...day.plan, mark], "chief"),
        "a-liar.json": aFile([...day.plan, changed], person),
        ...(person === "judge-1" ? {} : { "honest.json": aFile([...day.plan, mark], "judge-1") }),
      };
      const at = aFolder(files);
      const { out } = await run(at, ["import", ...Object.keys(files)]);
      expect(out).toContain(changed.id);
      await run(at, ["export", aGradingId, "--out", "hub.json"]);
      const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
      const found = entries.filter(({ id }: AnyEntry) => id === mark.id);
      expect(found).toEqual(person === "judge-1" ? [] : [JSON.parse(JSON.stringify(mark))]);
    },
  );

  it("[L123] makes nobody chief of a new store who says in a file of their own that they opened the test", async () => {
    const liar = aPen("judge-2", "forged-tablet");
    liar.hear(50);
    const forged = [
      liar.write("opened", { title: "Mine", date: "2026-06-06", rules: 3 }),
      liar.write("seated", { person: "judge-2" as PersonId, roles: ["chief", "judge"] }),
    ];
    const at = aFolder({
      "a-liar.json": aFile([...day.plan, ...forged], "judge-2"),
      "chief.json": aFile(day.plan, "chief"),
    });
    expect((await run(at, ["import", "a-liar.json"])).code).toBe(2);
    expect((await run(at, ["import", "a-liar.json", "chief.json"])).code).toBe(0);
    await run(at, ["export", aGradingId, "--out", "hub.json"]);
    const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
    expect(entries.filter(({ by }: AnyEntry) => by === ("judge-2" as PersonId))).toEqual([]);
  });

  it("[L123] goes by no word of a chief's device but that of whoever opened the test here", async () => {
    const [honest] = day.judges as [TestDay["judges"][number]];
    const forged = aPen("judge-2", "forged-tablet");
    const mark = aMark(honest.pen) as AnyEntry;
    // Another line stands at the places of the honest judge's count.
    const theirs = aPen("judge-1", honest.pen.device);
    const at = aFolder({
      "chief.json": aFile(day.plan, "chief"),
      "liar.json": aFile(
        [
          ...day.plan,
          forged.write("opened", { title: "Mine", date: "2026-06-06", rules: 3 }),
          ...[1, 2, 3].map((level) => aMark(theirs, { level })),
        ],
        "judge-2",
      ),
      "honest.json": aFile([...day.plan, mark], "judge-1"),
    });
    await run(at, ["import", "chief.json"]);
    await run(at, ["import", "liar.json", "honest.json"]);
    await run(at, ["export", aGradingId, "--out", "hub.json"]);
    const { entries } = JSON.parse(readFileSync(join(at, "hub.json"), "utf8"));
    expect(entries.some(({ id }: AnyEntry) => id === mark.id)).toBe(true);
  });

  it("[L123] names a person's own lines first of those not taken, and says that they may come once others have", async () => {
    const [judge, other] = day.judges as [TestDay["judges"][number], TestDay["judges"][number]];
    const stranger = "candidate-late" as CandidateId;
    const others = Array.from({ length: 30 }, () => aMark(other.pen));
    judge.pen.hear(90);
    const own = judge.pen.write("related", { candidate: stranger, relation: "family" });
    const at = aFolder({
      "chief.json": aFile(day.plan, "chief"),
      "judge.json": aFile([...day.plan, ...others, own], "judge-1"),
    });
    await run(at, ["import", "chief.json"]);
    const { out } = await run(at, ["import", "judge.json"]);
    expect(out).toContain(own.id);
    expect(out).toContain("import this file once more behind theirs");
  });

  it("[L80] brings nothing that its person may not write, and names it", async () => {
    const judge = late("judge-1", "judge-1-tablet", 0, 20);
    const other = late("judge-2", "judge-2-tablet", 0, 20);
    const chief = late("chief", "another-tablet", 0, 20);
    const stranger = late("somebody", "some-tablet", 0, 20);
    const forged: [AnyEntry, string][] = [
      [aMark(other), "NOT_YOURS"],
      [chief.write("closed", {}), "NOT_YOURS"],
      [
        chief.write("seated", { person: "judge-1" as PersonId, roles: ["chief", "judge"] }),
        "NOT_YOURS",
      ],
      [stranger.write("erased", { about: "candidate-1" as CandidateId }), "NOT_YOURS"],
      [judge.write("closed", {}), "ROLE_MISSING"],
      [
        judge.write("seated", { person: "judge-1" as PersonId, roles: ["chief", "judge"] }),
        "ROLE_MISSING",
      ],
      [judge.write("erased", { about: "candidate-1" as CandidateId }), "ROLE_MISSING"],
      [aMark(judge, { candidate: "candidate-9" }), "CANDIDATE_UNKNOWN"],
      [aMark(judge, { section: "kicks" }), "NOT_ASSIGNED"],
      [aMark(judge, { level: 5 }), "LEVEL_OUT_OF_SCALE"],
    ];
    const good = aMark(judge);
    const { added, refused, code, err } = await imported(
      aFile([...forged.map(([entry]) => entry), good], "judge-1"),
    );
    expect([code, err, added]).toEqual([0, "", 1]);
    expect(refused.map((one) => `${one.kind} ${one.by} ${one.code}`).sort()).toEqual(
      forged.map(([{ kind, by }, fault]) => `${kind} ${by} ${fault}`).sort(),
    );
    const at = aFolder({ "t.json": aFile([aMark(other)], "judge-1") });
    const { out } = await run(folder, ["import", join(at, "t.json")]);
    expect(out).toMatch(/1 entry was not taken: .*only what judge-1 may write/);
    expect(out).toMatch(/mark by judge-2 \(.*\): This was written in another person's name/);
  });

  it("[L80] writes on nobody else's device, and asks for the words that an entry speaks of", async () => {
    const squatting = late("judge-1", "chief-tablet", day.plan.length, 20);
    const judge = late("judge-1", "judge-1-tablet", 0, 20);
    const note = makeSideRecord(
      {
        grading: aGradingId,
        about: "candidate-1" as CandidateId,
        kind: "text",
        body: { text: "Low." },
      },
      { random: () => new Uint8Array(16) },
    );
    const noted = judge.write("note", {
      candidate: "candidate-1" as CandidateId,
      section: "blocks" as SectionId,
      item: null,
      side: null,
      text: note.ref,
    });
    const changed = { ...note.record, body: { text: "High." } };
    const first = await imported(aFile([aMark(squatting), noted], "judge-1", [changed]));
    expect(first.refused.map(({ code }) => code).sort()).toEqual([
      "NOT_YOURS",
      "SIDE_RECORD_MISSING",
    ]);
    expect(await imported(aFile([noted], "judge-1", [note.record]))).toMatchObject({ added: 1 });
  });

  it("[L80] is refused whole where the book knows no such person, and where there is no book", async () => {
    const stranger = late("somebody", "some-tablet", 0, 20);
    const { code, err } = await imported(
      aFile([stranger.write("stopped", { wave: null })], "somebody"),
    );
    expect(code).toBe(2);
    expect(err).toContain("knows no somebody, whose tablet wrote this file");
    const at = aFolder({ "t.json": aFile(day.plan, "judge-1") });
    expect((await run(at, ["import", "t.json"])).code).toBe(2);
  });

  it("[L81] carries no logical time that would be everybody's last", async () => {
    const ahead = late("judge-1", "judge-1-tablet", 0, 2 ** 48 - 3);
    const { added, refused } = await imported(aFile([aMark(ahead)], "judge-1"));
    expect([added, refused]).toMatchObject([0, [{ code: "LAMPORT_TOO_HIGH" }]]);
    const whole = await imported(aFile([...day.plan, aMark(ahead)]), "hub.json");
    expect(whole).toMatchObject({ code: 2, added: 0 });
    expect(whole.err).toMatch(
      /entries\[\d+\]\.lamport: the logical time of this entry is far ahead/,
    );

    const store = openSqliteScorebook(storeFile(join(folder, "evenhand-data")), testBooks);
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const chief = late("chief", "new-tablet", 0, room.book.lamport);
    const author = {
      person: "chief" as PersonId,
      roles: ["chief" as const],
      device: "new-tablet" as DeviceId,
    };
    const { refused: none } = await room.handIn(author, [chief.write("stopped", { wave: null })]);
    expect(none).toEqual([]);
    await store.close();
  });
});

describe("a tablet's file that comes to a hub put back from an older copy", () => {
  it("[L87] brings also what was too far ahead until the rest of the file was taken, and the lock after it", async () => {
    const [{ pen, person }] = day.judges as [TestDay["judges"][number]];
    const [candidate] = day.candidates as [CandidateId];
    // The hub has lost a leap that everybody had heard.
    pen.hear(day.plan.length + 10_001);
    const first = aMark(pen, { candidate });
    const stop = pen.write("stopped", { wave: null });
    const lock = aLock({ person, pen }, anId("blocks"), [candidate], [...day.plan, first]);
    const file = aFile([first, stop, ...lock], person);
    expect(await imported(file)).toMatchObject({ added: 2 + lock.length, refused: [] });
  });
});

describe("a hub's copy that is imported", () => {
  it("[L82] adds nothing to a test that is here already unless it bears the hub's record", async () => {
    const { pen } = day.judges[0] as TestDay["judges"][number];
    const { code, err } = await imported(aFile([...day.plan, aMark(pen)]), "hub.json");
    expect(code).toBe(2);
    expect(err).toContain("this file bears no hub’s record");
    // What is here already is no news.
    expect(await imported(aFile(day.plan), "hub.json")).toMatchObject({ code: 0, added: 0 });
  });

  const broken: [string, RegExp, (day: TestDay) => AnyEntry[]][] = [
    [
      "a mark of a section that is not there",
      /has no item|not marked that way/,
      ({ plan, judges }) => [
        ...plan,
        aMark((judges[0] as TestDay["judges"][number]).pen, { section: "jumps" }),
      ],
    ],
    [
      "a rubric that contradicts itself",
      /contradicts itself|scale/,
      ({ plan, rubric }) => {
        const [level] = rubric.scale.levels;
        const odd = {
          ...rubric,
          id: "odd" as typeof rubric.id,
          scale: { ...rubric.scale, levels: [level, level, level] },
        };
        return [
          ...plan,
          late("chief", "odd-tablet", 0, 20).write("frozen", { rubric: odd as typeof rubric }),
        ];
      },
    ],
  ];
  it.each(broken)("[L83] is sound for all or for none: %s", async (what, sentence, made) => {
    const file = aFile(made(aTestDay({ judges: 2 })));
    const at = aFolder({ "book.json": file });
    for (const command of ["report", "import"]) {
      const { code, err } = await run(at, [command, "book.json"]);
      expect([command, code]).toEqual([command, 2]);
      expect(err).toMatch(sentence);
      expect(err).toMatch(/entries\[\d+\]\.body/);
    }
    mkdirSync(join(at, "evenhand-data"), { recursive: true });
    const store = openSqliteScorebook(storeFile(join(at, "evenhand-data")), testBooks);
    await store.append(aGradingId, file.entries);
    await store.close();
    const { code, out } = await run(at, ["verify"]);
    const isMark = what.startsWith("a mark");
    expect(code).toBe(isMark ? 0 : 1);
    expect(out).toMatch(
      isMark ? /1 mark belongs nowhere and counts nowhere/ : /NOT SOUND at entries\[/,
    );
    expect(JSON.parse((await run(at, ["verify", "--json"])).out)).toMatchObject({
      sound: isMark,
      tests: [{ sound: isMark }],
    });
  });

  it("[L146] is reported, and names the marks that belong nowhere, where the hub signed that it had taken them", async () => {
    const its = aTestDay({ judges: 2 });
    const stray = aMark((its.judges[0] as TestDay["judges"][number]).pen, { section: "jumps" });
    const at = aFolder({ "book.json": asFile(aGradingId, [...its.plan, stray], []) });
    const { code, out } = await run(at, ["report", "book.json"]);
    expect(code).toBe(0);
    expect(out).toMatch(/1 mark belongs nowhere and counts nowhere/);
  });
});
