import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, CriterionId, ItemId, SectionId } from "../../src/belt-test/identity.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { EntryOf } from "../../src/belt-test/scorebook/entry.ts";
import type { Scorebook } from "../../src/belt-test/scorebook/scorebook.ts";
import type { Viewer } from "../../src/belt-test/scorebook/sight.ts";
import { testReaders } from "../../src/belt-test/scorebook/test-readers.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import type { StoredEntry } from "../../src/book/stored-entry.ts";
import { Feed, feedId } from "../../src/line/feed.ts";
import { Ledger } from "../../src/line/ledger.ts";
import { aMark, aTestDay, type TestDay } from "../builders/a-test-day.ts";
import { anAnchor, anAnchorId, anchorLevels } from "../builders/an-anchor.ts";
import { anId } from "../builders/an-id.ts";

const numbered = (entries: readonly AnyEntry[]): StoredEntry[] =>
  entries.map((entry, index) => ({ entry, seq: index + 1, chain: "" }));
const viewer = (person: string, ...roles: Role[]): Viewer => ({
  person: person as PersonId,
  roles,
});
const viewers = [
  viewer("judge-1", "judge"),
  viewer("judge-2", "judge"),
  viewer("judge-3", "judge", "caller"),
  viewer("chief", "chief"),
  viewer("chief", "chief", "judge"),
  viewer("caller", "caller"),
  viewer("desk", "desk"),
];
const ids = (feed: Feed<Role>) => feed.after(0).map(({ entry }) => entry.id);

function feedsOf(lines: readonly StoredEntry[]): Feed<Role>[] {
  const ledger = new Ledger(testReaders);
  for (const line of lines) ledger.add(line);
  return viewers.map((one) => new Feed(testReaders, one, ledger.steps));
}

/** What judges do, in any order: mark, judge overall, note faults, lock. */
const acts = fc.array(
  fc.record({
    judge: fc.nat(2),
    candidate: fc.nat(2),
    does: fc.constantFrom("mark", "mark", "mark", "overall", "faults", "lock", "lock"),
    level: fc.integer({ min: 1, max: 4 }),
  }),
  { maxLength: 50 },
);
type Acts = typeof acts extends fc.Arbitrary<infer T> ? T : never;

function perform(day: TestDay, all: Acts): AnyEntry[] {
  const section = "blocks" as SectionId;
  return all.flatMap(({ judge, candidate: index, does, level }): AnyEntry[] => {
    const pen = day.judges[judge]?.pen;
    const candidate = day.candidates[index];
    if (!pen || !candidate) return [];
    if (does === "mark") return [aMark(pen, { candidate, level })];
    if (does === "overall") return [pen.write("overall", { candidate, section, judgement: level })];
    if (does === "faults") {
      const place = { section, item: null, side: null, criterion: anId("stance") };
      return [pen.write("faults", { candidate, ...place, faults: [] })];
    }
    return [pen.write("locked", { section, candidates: [candidate], basis: {} })];
  });
}
const closedKinds = new Set(["mark", "overall", "faults", "note"]);
const candidatesOf = (entry: AnyEntry): CandidateId[] => {
  if (entry.kind === "mark")
    return (entry as EntryOf<"mark">).body.cells.map(({ candidate }) => candidate);
  return [(entry as EntryOf<"overall">).body.candidate];
};

describe("a viewer's feed", () => {
  it("[Y1] is the same live and after a restart at any moment", () => {
    fc.assert(
      fc.property(acts, fc.nat(), (all, cut) => {
        const day = aTestDay();
        const lines = numbered([...day.plan, ...perform(day, all)]);
        const before = cut % (lines.length + 1);
        const ledger = new Ledger(testReaders);
        for (const line of lines.slice(0, before)) ledger.add(line);
        const live = viewers.map((one) => new Feed(testReaders, one, ledger.steps));
        for (const line of lines.slice(before)) {
          const step = ledger.add(line);
          for (const feed of live) feed.take(step);
        }
        expect(live.map(ids)).toEqual(feedsOf(lines).map(ids));
      }),
    );
  });

  it("[Y2] never holds another's marks before every assigned judge has locked", () => {
    fc.assert(
      fc.property(acts, (all) => {
        const day = aTestDay();
        const lines = numbered([...day.plan, ...perform(day, all)]);
        const ledger = new Ledger(testReaders);
        const feeds = viewers.map((one) => new Feed(testReaders, one));
        // Kept beside the product's own reckoning: who has locked whom, read off the acts.
        const locked = new Set<string>();
        for (const line of lines) {
          const { entry } = line;
          if (entry.kind === "locked")
            for (const candidate of (entry as EntryOf<"locked">).body.candidates)
              locked.add(`${entry.by}/${candidate}`);
          const step = ledger.add(line);
          for (const feed of feeds) {
            feed.take(step);
            for (const { entry: seen } of feed.after(0)) {
              if (!closedKinds.has(seen.kind) || seen.by === feed.viewer.person) continue;
              for (const candidate of candidatesOf(seen))
                for (const judge of day.judges)
                  expect(locked.has(`${judge.person}/${candidate}`)).toBe(true);
            }
          }
        }
      }),
    );
  });

  it("[Y3] holds every mark once all have locked, for judges and chief; for caller and desk none", () => {
    fc.assert(
      fc.property(acts, (all) => {
        const day = aTestDay();
        const section = "blocks" as SectionId;
        const marks = perform(day, all);
        const locks = day.judges.map(({ pen }) =>
          pen.write("locked", { section, candidates: day.candidates, basis: {} }),
        );
        const closed = marks.filter(({ kind }) => closedKinds.has(kind)).map(({ id }) => id);
        const feeds = feedsOf(numbered([...day.plan, ...marks, ...locks]));
        for (const [index, feed] of feeds.entries()) {
          const held = new Set(ids(feed));
          const roles = viewers[index]?.roles ?? [];
          const reads = roles.includes("judge") || roles.includes("chief");
          expect(closed.filter((id) => held.has(id)).length).toBe(reads ? closed.length : 0);
        }
      }),
    );
  });

  it("[Y4] holds each entry once, and goes on from a cursor without a gap", () => {
    fc.assert(
      fc.property(acts, fc.integer({ min: 1, max: 9 }), (all, stride) => {
        const day = aTestDay();
        for (const feed of feedsOf(numbered([...day.plan, ...perform(day, all)]))) {
          expect(new Set(ids(feed)).size).toBe(feed.length);
          const walked: string[] = [];
          for (let cursor = 0; cursor < feed.length; cursor += stride)
            walked.push(...feed.after(cursor, stride).map(({ entry }) => entry.id));
          expect(walked).toEqual(ids(feed));
        }
      }),
    );
  });

  it("[Y5] ends with the same entries whatever the order in which tablets reach the hub", () => {
    fc.assert(
      fc.property(acts, fc.infiniteStream(fc.nat(2)), (all, turns) => {
        const day = aTestDay();
        const written = perform(day, all);
        const locks = day.judges.map(({ pen }) =>
          pen.write("locked", {
            section: "blocks" as SectionId,
            candidates: day.candidates,
            basis: {},
          }),
        );
        const queues = day.judges.map(({ person }) =>
          [...written, ...locks].filter(({ by }) => by === person),
        );
        const shuffled: AnyEntry[] = [];
        for (const turn of turns) {
          const next = queues[turn]?.shift();
          if (next) shuffled.push(next);
          if (queues.every((queue) => queue.length === 0)) break;
        }
        const straight = feedsOf(numbered([...day.plan, ...written, ...locks]));
        const other = feedsOf(numbered([...day.plan, ...shuffled]));
        expect(other.map((feed) => ids(feed).sort())).toEqual(
          straight.map((feed) => ids(feed).sort()),
        );
      }),
    );
  });

  it("[Y25] keeps open what was open when a judge joins the panel, and from that judge until that judge has locked", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges;
    if (!first || !second) throw new Error("two judges");
    const section = "blocks" as SectionId;
    const lock = { section, candidates: day.candidates, basis: {} };
    const early = aMark(first.pen);
    const locks = [first.pen.write("locked", lock), second.pen.write("locked", lock)];
    const late = aTestDay({ judges: 3, candidates: 1 }).judges[2];
    if (!late) throw new Error("a third judge");
    const joined = day.chief.write("assigned", {
      judge: late.person,
      section,
      candidates: day.candidates,
    });
    const before = numbered([...day.plan, early, ...locks, joined]);
    // Open stays open, and whoever has not locked the same is sent nothing of it.
    expect(
      ids(new Feed(testReaders, viewer("judge-2", "judge"), ledgerOf(before).steps)),
    ).toContain(early.id);
    const thirds = (lines: StoredEntry[]) =>
      ids(new Feed(testReaders, viewer("judge-3", "judge"), ledgerOf(lines).steps));
    expect(thirds(before)).not.toContain(early.id);
    const after = numbered([...before.map(({ entry }) => entry), late.pen.write("locked", lock)]);
    expect(thirds(after)).toContain(early.id);
  });

  it("[Y23] lets nobody's marks wait for a child who left: not in one entry over a line, as old books have it", () => {
    const day = aTestDay({ judges: 2, candidates: 2, rules: 1 });
    const [first, second] = day.judges;
    const [here, gone] = day.candidates;
    if (!first || !second || !here || !gone) throw new Error("two of each");
    const section = "blocks" as SectionId;
    const cell = { criterion: "chamber" as CriterionId, level: 3, how: "rest" as const };
    const rest = first.pen.write("mark", {
      section,
      item: "rising-block" as ItemId,
      side: "left",
      cells: [
        { candidate: here, ...cell },
        { candidate: gone, ...cell },
      ],
    });
    const left = day.chief.write("withdrawn", { candidate: gone, why: "unwell" });
    const locks = [first, second].map(({ pen }) =>
      pen.write("locked", { section, candidates: [here], basis: {} }),
    );
    const lines = numbered([...day.plan, rest, left, ...locks]);
    expect(ids(new Feed(testReaders, viewer("chief", "chief"), ledgerOf(lines).steps))).toContain(
      rest.id,
    );
  });

  it("[Y26] keeps what is of a child who left closed until the test is closed, and opens it then", () => {
    const day = aTestDay({ judges: 2, candidates: 2 });
    const [first] = day.judges;
    const [, gone] = day.candidates;
    if (!first || !gone) throw new Error("two of each");
    const left = day.chief.write("withdrawn", { candidate: gone, why: "unwell" });
    const own = aMark(first.pen, { candidate: gone });
    const closing = day.chief.write("closed", {});
    const chiefs = (entries: AnyEntry[]) =>
      ids(new Feed(testReaders, viewer("chief", "chief"), ledgerOf(numbered(entries)).steps));
    expect(chiefs([...day.plan, own, left])).not.toContain(own.id);
    expect(chiefs([...day.plan, own, left, closing])).toContain(own.id);
  });

  it("[Y23] opens one child's marks whatever another's wait for", () => {
    const day = aTestDay({ judges: 2, candidates: 2 });
    const [first, second] = day.judges;
    const [one, other] = day.candidates;
    if (!first || !second || !one || !other) throw new Error("two of each");
    const section = "blocks" as SectionId;
    const marks = [one, other].map((candidate) => aMark(first.pen, { candidate }));
    const locks = [first, second].map(({ pen }) =>
      pen.write("locked", { section, candidates: [one], basis: {} }),
    );
    const feed = new Feed(
      testReaders,
      viewer("chief", "chief"),
      ledgerOf(numbered([...day.plan, ...marks, ...locks])).steps,
    );
    expect(ids(feed)).toContain(marks[0]?.id);
    expect(ids(feed)).not.toContain(marks[1]?.id);
  });

  it("[Y24] sends nobody a lock before the reveal: its place in a device's count is the number of taps", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [first, second] = day.judges;
    if (!first || !second) throw new Error("two judges");
    const lock = { section: "blocks" as SectionId, candidates: day.candidates, basis: {} };
    const lines = [...day.plan, aMark(first.pen), first.pen.write("locked", lock)];
    const own = lines.at(-1)?.id as string;
    for (const feed of feedsOf(numbered(lines)))
      expect(ids(feed).includes(anId(own))).toBe(feed.viewer.person === first.person);
    const all = feedsOf(numbered([...lines, second.pen.write("locked", lock)]));
    expect(all.map((feed) => ids(feed).includes(anId(own)))).toEqual(
      viewers.map(
        ({ person, roles }) =>
          roles.includes("chief") || person === "judge-1" || person === "judge-2",
      ),
    );
  });

  it("[Y3] opens what the chief opens with a reason although a judge never locked", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const mark = aMark(day.judges[0]?.pen ?? day.chief);
    const opened = day.chief.write("revealed", {
      section: "blocks" as SectionId,
      candidates: day.candidates,
      reason: { id: anId("why-1"), digest: "0".repeat(64) },
    });
    const lines = numbered([...day.plan, mark, opened]);
    const chief = viewer("chief", "chief");
    expect(ids(new Feed(testReaders, chief, ledgerOf(lines.slice(0, -1)).steps))).not.toContain(
      mark.id,
    );
    expect(ids(new Feed(testReaders, chief, ledgerOf(lines).steps))).toContain(mark.id);
  });

  it("[Y6] has a name of its own for each hub, grading, person and set of roles", () => {
    const judge = viewer("p", "judge", "caller");
    expect(feedId("h", "g", judge)).toBe(feedId("h", "g", viewer("p", "caller", "judge")));
    const names = [
      feedId("h", "g", judge),
      feedId("h2", "g", judge),
      feedId("h", "g2", judge),
      feedId("h", "g", viewer("q", "judge", "caller")),
      feedId("h", "g", viewer("p", "judge")),
    ];
    expect(new Set(names).size).toBe(names.length);
  });

  it("[Y4] refuses a book with a missing line", () => {
    const [first, , third] = numbered(aTestDay().plan);
    const ledger = new Ledger(testReaders);
    if (!first || !third) throw new Error("a plan");
    ledger.add(first);
    expect(() => ledger.add(third)).toThrow(RangeError);
  });
});

describe("an anchor in the feed of a chief who also judges", () => {
  const other = "anchor-2" as typeof anAnchorId;
  const both = viewer("chief", "chief", "judge");
  const chiefOnly = viewer("chief", "chief");
  const act = fc.record({
    who: fc.constantFrom("chief", "judge-1", "judge-2"),
    anchor: fc.constantFrom(anAnchorId, other),
    does: fc.constantFrom("mark", "mark", "mark", "mark", "call"),
    cells: fc.integer({ min: 0, max: 4 }),
  });
  function played(all: readonly (typeof act extends fc.Arbitrary<infer T> ? T : never)[]) {
    const day = aTestDay();
    const pens = { chief: day.chief, "judge-1": day.judges[0]?.pen, "judge-2": day.judges[1]?.pen };
    const cells = anchorLevels(day.rubric, 3);
    const entries = all.flatMap(({ who, anchor, does, cells: some }): AnyEntry[] => {
      const pen = pens[who as keyof typeof pens] ?? day.chief;
      if (does === "mark")
        return [pen.write("anchor-marked", { anchor, marks: cells.slice(0, some) })];
      const step = { wave: 1, item: anId("rising-block"), side: "left" as const };
      return [day.chief.write("called", { ...step, section: "blocks" as SectionId })];
    });
    const sets = [anAnchor(day.chief, day.rubric), anAnchor(day.chief, day.rubric, other)];
    return numbered([...day.plan, ...sets, ...entries]);
  }
  const marksIn = (feed: Feed<Role>) =>
    feed
      .after(0)
      .flatMap(({ entry }) =>
        entry.kind === "anchor-marked" ? [entry as EntryOf<"anchor-marked">] : [],
      );

  it("[S19] holds another's marks once the chief has marked all of their cells, or the test is called, and not before", () => {
    fc.assert(
      fc.property(fc.array(act, { maxLength: 25 }), (all) => {
        const ledger = new Ledger(testReaders);
        const feed = new Feed(testReaders, both);
        const plain = new Feed(testReaders, chiefOnly);
        // Kept beside the product's own reckoning: how many cells the chief has marked, from the first on.
        const own = new Map<string, number>();
        let isCalled = false;
        for (const line of played(all)) {
          const { entry } = line;
          if (entry.kind === "called") isCalled = true;
          if (entry.kind === "anchor-marked" && entry.by === both.person) {
            const { anchor, marks } = (entry as EntryOf<"anchor-marked">).body;
            own.set(anchor, Math.max(own.get(anchor) ?? 0, marks.length));
          }
          const step = ledger.add(line);
          feed.take(step);
          plain.take(step);
          const mayKnow = marksIn(plain).filter(
            ({ by, body: { anchor, marks } }) =>
              by === both.person ||
              isCalled ||
              (own.has(anchor) && marks.length <= (own.get(anchor) ?? 0)),
          );
          expect(new Set(marksIn(feed).map(({ id }) => id))).toEqual(
            new Set(mayKnow.map(({ id }) => id)),
          );
        }
        expect(new Set(ids(feed)).size).toBe(feed.length);
      }),
    );
  });

  it("[S19] waits on a second device too, that has the chief's role alone, of a chief seated as a judge", () => {
    const day = aTestDay();
    const judge = day.judges[0]?.pen ?? day.chief;
    const body = { anchor: anAnchorId, marks: anchorLevels(day.rubric, 3) };
    const seat = (...roles: Role[]) =>
      day.chief.write("seated", { person: chiefOnly.person, roles });
    const seated = [seat("chief", "judge"), anAnchor(day.chief, day.rubric)];
    const theirs = judge.write("anchor-marked", body);
    const before = [...day.plan, ...seated, theirs];
    const feedOf = (who: Viewer, entries: AnyEntry[]) =>
      ids(new Feed(testReaders, who, ledgerOf(numbered(entries)).steps));
    expect(feedOf(chiefOnly, before)).not.toContain(theirs.id);
    const own = day.chief.write("anchor-marked", body);
    expect(feedOf(chiefOnly, [...before, own])).toContain(theirs.id);
    const next = judge.write("anchor-marked", body);
    const risen = [...day.plan, ...seated, seat("chief"), next];
    expect(feedOf(chiefOnly, risen)).toContain(next.id);
    // A seat never widens what a device is sent.
    const desk = feedOf(viewer("judge-1", "desk"), before);
    for (const { kind, id } of before) if (kind === "anchor-set") expect(desk).not.toContain(id);
  });

  it("[Y1] is the same live and after a restart at any moment, so that a cursor goes on", () => {
    fc.assert(
      fc.property(fc.array(act, { maxLength: 25 }), fc.nat(), (all, cut) => {
        const lines = played(all);
        const ledger = new Ledger(testReaders);
        const live = new Feed(testReaders, both);
        for (const line of lines) live.take(ledger.add(line));
        const before = cut % (lines.length + 1);
        const again = ledgerOf(lines.slice(0, before));
        const late = new Feed(testReaders, both, again.steps);
        const cursor = late.length;
        expect(ids(late)).toEqual(ids(live).slice(0, cursor));
        for (const line of lines.slice(before)) late.take(again.add(line));
        expect(late.after(cursor)).toEqual(live.after(cursor));
      }),
    );
  });
});

function ledgerOf(lines: readonly StoredEntry[]): Ledger<Scorebook> {
  const ledger = new Ledger(testReaders);
  for (const line of lines) ledger.add(line);
  return ledger;
}
