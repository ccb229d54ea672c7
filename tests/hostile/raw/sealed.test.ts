import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { CHILDREN, RawDay } from "./a-raw-day.ts";
import type { RawEntry, RawTablet } from "./a-raw-tablet.ts";

const [MIA = "", BEN = ""] = CHILDREN;

let day: RawDay;
let first: RawTablet;
let second: RawTablet;
beforeEach(async () => {
  const begun = await RawDay.begin(["first", "second"]);
  day = begun.day;
  [first, second] = begun.judges as [RawTablet, RawTablet];
}, 60_000);
afterEach(() => day.end());

/** Marks both items of one child and locks. */
async function locks(judge: RawTablet, child: string, level: number): Promise<void> {
  const low = { item: "low" };
  const lines = [judge.mark(child, level), judge.mark(child, level, {}, low), judge.lock(child)];
  expect(await judge.handIn(...lines)).toEqual([undefined, undefined, undefined]);
}
const marksOf = (seer: RawTablet, child: string): RawEntry[] =>
  seer.entries.filter(
    ({ kind, body }) =>
      kind === "mark" &&
      (body as { cells: { candidate: string }[] }).cells.some(
        ({ candidate }) => candidate === child,
      ),
  );
const seesAll = (seer: RawTablet, child: string, count: number) =>
  seer.until(() => marksOf(seer, child).length >= count, `${count} marks of ${child}`);
const levelsOf = async (child: string): Promise<unknown> => {
  const { candidates } = await day.report();
  return candidates.find(({ candidate }) => candidate === child);
};

/** What is told of a child; not which questions are open, which a recusal may add to. */
async function shownOf(child: string): Promise<unknown> {
  const { computed, score, sections, panelMarks, certainty } = (await levelsOf(child)) as Record<
    string,
    unknown
  >;
  return { computed, score, sections, panelMarks, certainty };
}

describe("what nobody can undo", () => {
  it("[H93] whoever leaves the floor hides nobody else's marks", async () => {
    for (const judge of [first, second])
      for (const item of ["rising", "low"]) {
        // One tap over the line, as tablets of before wrote it; where the hub wants one child a line, so be it.
        const cells = CHILDREN.map((candidate) => ({
          candidate,
          criterion: "stance",
          level: 3,
          how: "tapped",
        }));
        const [answer] = await judge.handIn(judge.mark(MIA, 3, {}, { item, cells }));
        if (answer !== undefined)
          for (const child of CHILDREN)
            expect(await judge.handIn(judge.mark(child, 3, {}, { item }))).toEqual([undefined]);
      }
    await day.plans(["withdrawn", { candidate: BEN, why: "own-wish" }]);
    for (const judge of [first, second])
      expect(await judge.handIn(judge.lock(MIA))).toEqual([undefined]);
    await seesAll(day.chief, MIA, 4);
    expect(await levelsOf(MIA)).toMatchObject({ computed: "pass" });
    // Of whoever left nothing is opened before the closing.
    expect(marksOf(day.chief, BEN)).toEqual([]);
  });

  it("[H93] what is open stays open when a judge is added, replaced or steps back", async () => {
    for (const judge of [first, second]) await locks(judge, MIA, 3);
    await seesAll(day.chief, MIA, 4);
    const before = await shownOf(MIA);
    const third = await day.comes("third", "judge");
    await day.plans(["seated", { person: third.who.person, roles: ["judge"] }]);
    const assigned = { judge: third.who.person, section: "blocks", candidates: [MIA] };
    // Refused, or without effect on what is open.
    await day.chief.handIn(day.chief.write("assigned", assigned));
    await day.plans(["judge-replaced", { judge: second.who.person, by: third.who.person }]);
    await first.handIn(first.write("recused", { candidate: MIA, section: null }));
    expect(await shownOf(MIA)).toEqual(before);
    third.hangUp();
  });

  it("[H94] no mark and no lock of an earlier time changes what stood at the lock", async () => {
    const early = first.lamport;
    const gap = first.n;
    await locks(first, MIA, 2);
    await locks(second, MIA, 3);
    await seesAll(day.chief, MIA, 4);
    await seesAll(first, MIA, 2);
    const stood = await shownOf(MIA);
    const forged = [
      first.mark(MIA, 4, { lamport: early }),
      first.lock(MIA, { lamport: early }),
      first.lock(MIA, {}, { basis: { [first.who.device]: 9_999 } }),
      first.lock(MIA, {}, { basis: { [first.who.device]: gap } }),
      first.mark(MIA, 4),
    ];
    await first.handIn(...forged);
    expect(await shownOf(MIA)).toEqual(stood);
  });

  it("[H94] within one device logical time never falls, and a lock speaks of exactly what was written before it", async () => {
    const lines = [first.mark(MIA, 2), first.mark(MIA, 2, {}, { item: "low" })];
    expect(await first.handIn(...lines)).toEqual([undefined, undefined]);
    expect(await first.handIn(first.write("stopped", { wave: null }))).toEqual([undefined]);
    first.lamport++;
    const [back] = await first.handIn(first.mark(MIA, 3, { lamport: 1 }));
    expect(back).toMatch(/^[A-Z_]+$/);
    const bases = [
      { [first.who.device]: first.n + 5 },
      { [first.who.device]: 0 },
      { [first.who.device]: first.n, [second.who.device]: 77 },
      {},
    ];
    for (const basis of bases) {
      const [answer] = await first.handIn(first.lock(MIA, {}, { basis }));
      expect([basis, answer]).toEqual([basis, expect.stringMatching(/^[A-Z_]+$/)]);
    }
    expect(await first.handIn(first.lock(MIA))).toEqual([undefined]);
    expect(await first.handIn(first.lock(MIA))).toEqual([expect.stringMatching(/^[A-Z_]+$/)]);
  });

  it("[H95] a value that cannot be written down is refused, and cuts nobody's line", async () => {
    const spoilt = ["1e400", '"\\ud800"', '"\\u0000\\udfff"'];
    for (const value of spoilt) {
      const odd = JSON.stringify(first.mark(MIA, 3)).replace('"at":1', `"at":1,"extra":${value}`);
      const batch = `{"frame":"append","entries":[${odd}]}`;
      const own = second.mark(MIA, 3);
      first.sayText(batch);
      expect(await second.handIn(own)).toEqual([undefined]);
    }
    expect([first.isOpen, second.isOpen, day.chief.isOpen]).toEqual([true, true, true]);
    await first.until(() => first.frames("refuse").length >= spoilt.length, "the refusals");
    expect((await day.hub.ask("GET", "/health")).json.status).toBe("ok");
  });

  it("[H96] a stop is small, and never refused; a fat one is", async () => {
    const fat = Array.from({ length: 3 }, () =>
      first.write("stopped", { wave: null, words: "x".repeat(300_000) }),
    );
    for (const one of fat) {
      const [answer] = await first.handIn(one);
      if (!first.isOpen) break;
      expect(answer).toMatch(/^[A-Z_]+$/);
    }
    const { person: _, ...pass } = second.who;
    expect(pass.device).toBe("second-tablet");
    expect(await second.handIn(second.write("stopped", { wave: null }))).toEqual([undefined]);
    // A count that leaps is no ground to refuse a child's word either. Logical time that leaps is: everybody after it would have to leap too.
    const leapt = second.write(
      "withdrawn",
      { candidate: MIA, why: "own-wish" },
      { n: second.n + 40 },
    );
    expect(await second.handIn(leapt)).toEqual([undefined]);
    expect(day.chief.bytes.join("").length).toBeLessThan(200_000);
  });

  it("[H97] nobody learns before the reveal how many taps another made", async () => {
    const caller = await day.comes("calls", "caller");
    const health = async () => (await day.hub.ask("GET", "/health")).json.entries;
    const before = await health();
    const heads = () => second.frames("head").length;
    const headsBefore = heads();
    const lamport = second.lamport;
    for (let tap = 0; tap < 7; tap++)
      expect(await first.handIn(first.mark(MIA, 1 + (tap % 4)))).toEqual([undefined]);
    await new Promise((done) => setTimeout(done, 700));
    expect(await health()).toBe(before);
    expect(heads()).toBe(headsBefore);
    for (const seer of [caller, day.chief, second]) {
      // Child and section, and how far along; not which cells, and no count.
      const told = JSON.stringify(seer.frames("coverage"));
      expect(told).not.toMatch(/"marked"|"criterion"|"item"/);
    }
    expect(await first.handIn(first.write("stopped", { wave: null }))).toEqual([undefined]);
    await second.until(() => second.entries.some(({ kind }) => kind === "stopped"), "the stop");
    const stop = second.entries.find(({ kind }) => kind === "stopped");
    expect((stop?.lamport ?? 0) - lamport).toBeLessThan(3);
    caller.hangUp();
  });

  it("[H98] after the reveal a mark counts only where it answers a request, also after a verdict", async () => {
    for (const judge of [first, second]) await locks(judge, MIA, 3);
    await seesAll(day.chief, MIA, 4);
    await seesAll(first, MIA, 2);
    const stood = await shownOf(MIA);
    await first.handIn(first.mark(MIA, 1), first.mark(MIA, 1, {}, { item: "low" }));
    expect(await levelsOf(MIA)).toMatchObject({
      computed: "pass",
      panelMarks: (stood as { panelMarks: unknown[] }).panelMarks,
    });
    await day.plans([
      "remark-asked",
      {
        judge: first.who.person,
        candidate: MIA,
        section: "blocks",
        item: "rising",
        side: null,
        criterion: "stance",
        ask: "talk",
      },
    ]);
    await first.until(
      () => first.entries.some(({ kind }) => kind === "remark-asked"),
      "the request",
    );
    const request = first.entries.find(({ kind }) => kind === "remark-asked")?.id;
    const answer = first.mark(MIA, 1);
    (answer.body as Record<string, unknown>).answers = request;
    await first.handIn(answer);
    expect(await shownOf(MIA)).not.toEqual(stood);
  });
});
