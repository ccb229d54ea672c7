import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import type { EntryKind } from "../../../src/belt-test/kinds/all-kinds.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { heldAtOpenings } from "../../../src/belt-test/scorebook/held-first.ts";
import { lockBody, workOf } from "../../../src/belt-test/scorebook/judge-view.ts";
import { lateQuestion } from "../../../src/belt-test/scorebook/marks.ts";
import type { Pen } from "../../../src/belt-test/scorebook/pen.ts";
import { readScorebookFile } from "../../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../../src/belt-test/scorebook/scorebook-file.ts";
import { caseOf } from "../../../src/belt-test/verdict/case-of.ts";
import { outcome } from "../../../src/belt-test/verdict/outcome-of.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { PersonId, SideRecordId } from "../../../src/book/identity.ts";
import type { Author } from "../../../src/hub/test-room/author.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import { heldAt } from "../../../src/hub/test-room/held-at.ts";
import { takePersonsFile } from "../../../src/hub/test-room/persons-file.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { aBox } from "../../builders/a-box.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;
const reason = { id: "why" as SideRecordId, digest: "0".repeat(64) };
const { record, ref } = makeSideRecord(
  {
    grading: aGradingId,
    about: "chief" as PersonId,
    kind: "text",
    body: { text: "The tablet fell into the water." },
  },
  { random: (bytes) => new Uint8Array(bytes) },
);
type Judge = TestDay["judges"][number];

describe("what the hub held", () => {
  it("[H83] keeps every lock that an opening by hand was written before, also of a judge who stepped back since", () => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const judges = day.judges as [Judge, Judge];
    const book = fold(day.plan);
    const opening = day.chief.write("revealed", { section: blocks, candidates: [mia], reason });
    for (const judge of judges) {
      judge.pen.hear(40);
      book.add(aMark(judge.pen, { level: 2 }) as AnyEntry);
      for (const entry of aLock(judge, blocks, [mia], [...book.entries()])) book.add(entry);
    }
    const [first] = judges;
    book.add(first.pen.write("recused", { candidate: mia, section: null }) as AnyEntry);
    const stood = book.marks.of(mia, "lock");
    expect(stood.filter(({ judge }) => judge === first.person).length).toBeGreaterThan(0);
    book.add(opening as AnyEntry);
    let ids = 0;
    const held = heldAt(book, opening as AnyEntry, { nowMs: 0, makeId: () => `held-${++ids}` });
    for (const entry of held) book.add(entry);
    expect(book.marks.of(mia, "lock")).toEqual(stood);
  });

  it("[H156] is what the hub says: a chief's device on the line that says it itself is not heard", async () => {
    for (const kind of ["revealed", "judge-replaced"] as const) {
      const { day, room, author, judges } = await aRoom();
      const [first, second] = judges;
      for (const judge of [first, second])
        await room.handIn(author(judge.pen), aLock(judge, blocks, [mia], [...room.book.entries()]));
      const stood = room.book.marks.of(mia, "lock");
      const body =
        kind === "revealed"
          ? { section: blocks, candidates: [mia], reason: ref, basis: {}, without: [first.person] }
          : { judge: first.person, by: "chief", unheard: [] };
      day.chief.hear(room.book.lamport);
      const { refused } = await room.handIn(
        author(day.chief),
        [day.chief.write(kind, body as never)],
        [record],
      );
      expect(refused.map(({ fault }) => fault.code)).toEqual(["ENTRY_MALFORMED"]);
      expect(room.book.marks.of(mia, "lock")).toEqual(stood);
      expect(room.book.marks.late(mia)).toEqual([]);
    }
  });

  it("[S308] is what a chief says who took files while the hub was away, of marks that come later too; no lock that is here is undone by that", async () => {
    const { day, room, author, judges } = await aRoom();
    const [first, second] = judges;
    await room.handIn(author(first.pen), aLock(first, blocks, [mia], [...room.book.entries()]));
    const stood = room.book.marks.of(mia, "lock").filter(({ judge }) => judge === first.person);
    expect(stood.length).toBeGreaterThan(0);
    second.pen.hear(room.book.lamport);
    const mark = aMark(second.pen);
    const more = aMark(second.pen, { level: 2 });
    const body = {
      ...{ section: blocks, candidates: [mia], reason: ref },
      ...{ without: [first.person, second.person], after: {} },
      basis: { [mark.device]: mark.n },
    };
    day.chief.hear(room.book.lamport);
    const opening = day.chief.write("revealed", body);
    const answers = [
      await room.handIn(author(day.chief), [opening], [record]),
      await room.handIn(author(second.pen), [mark, more]),
    ];
    expect(answers.flatMap(({ refused }) => refused)).toEqual([]);
    const counted = room.book.marks.of(mia, "lock");
    expect(counted.filter(({ judge }) => judge === first.person)).toEqual(stood);
    expect(counted.filter(({ judge }) => judge === second.person)).toMatchObject([
      { level: mark.body.cells[0]?.level },
    ]);
    expect(room.book.marks.late(mia).map(({ judge }) => judge)).toEqual([second.person]);
  });

  it("[S308] is said of such an opening too, so that a hub put back from an older copy knows it for one that the lost hub had", async () => {
    const { day, room, author, judges } = await aRoom();
    const without = judges.map(({ person }) => person);
    const body = { section: blocks, candidates: [mia], reason: ref, without, after: {}, basis: {} };
    const opening = day.chief.write("revealed", body);
    const { refused } = await room.handIn(author(day.chief), [opening], [record]);
    expect(refused).toEqual([]);
    expect(heldAtOpenings(room.book.entries(), new Set([opening.id]))).toHaveLength(1);
    expect(room.book.openings.isHeldForGood(judges[0]?.person as PersonId, mia, blocks)).toBe(true);
  });

  it("[H157] takes no word of its own back that it did not write", async () => {
    const { day, room, author, judges } = await aRoom();
    const [first] = judges;
    await room.handIn(author(first.pen), aLock(first, blocks, [mia], [...room.book.entries()]));
    const opening = day.chief.write("revealed", {
      section: blocks,
      candidates: [mia],
      reason: ref,
    });
    const said = { of: opening.id, judge: first.person, candidate: mia, section: blocks };
    for (const more of [{}, { vouch: "A".repeat(32) }]) {
      const pen = aPen("chief", `held-${Object.keys(more)}`);
      const forged = pen.write("held", { ...said, basis: {}, ...more });
      const { refused } = await room.handIn(author(day.chief), [forged]);
      expect(refused.map(({ fault }) => fault.code)).toEqual(["HELD_ALREADY"]);
    }
    await room.handIn(author(day.chief), [opening], [record]);
    expect(room.book.marks.late(mia)).toEqual([]);
  });

  it("[H160] asks nobody about blanks of a lock that came when the marks were open, and tells its judge", async () => {
    const { day, room, author, judges } = await aRoom();
    const [first, second] = judges;
    await room.handIn(author(first.pen), aLock(first, blocks, [mia], [...room.book.entries()]));
    const opening = day.chief.write("revealed", {
      section: blocks,
      candidates: [mia],
      reason: ref,
    });
    await room.handIn(author(day.chief), [opening], [record]);
    second.pen.hear(room.book.lamport);
    const late = [aMark(second.pen), ...aLock(second, blocks, [mia], [...room.book.entries()])];
    const { refused } = await room.handIn(author(second.pen), late);
    expect(refused).toEqual([]);
    const questions = outcome(caseOf(room.book, mia)).questions.map(({ key }) => key);
    expect(questions).toContain(`late/${second.person}/blocks`);
    expect(questions).not.toContain(`blank/${second.person}/blocks`);
    const steps = waveScript(room.book, 1);
    const lateOf = ({ person }: Judge) =>
      workOf(room.book, person, steps).flatMap(({ openedWithout }) => openedWithout);
    expect([lateOf(first), lateOf(second)]).toEqual([[], [mia]]);
  });

  it("[S259] keeps as late what a judge went on marking who had not heard that the place was given away", async () => {
    const { day, room, author, judges } = await aRoom();
    const [first] = judges;
    await room.handIn(
      author(day.chief),
      [
        day.chief.write("seated", { person: "spare" as PersonId, roles: ["judge"] }),
        day.chief.write("judge-replaced", { judge: first.person, by: "spare" as PersonId }),
      ],
      [],
    );
    // The judge's own lines moved their logical time past the chief's.
    first.pen.hear(room.book.lamport + 5);
    const { refused } = await room.handIn(author(first.pen), [aMark(first.pen, { level: 4 })]);
    expect(refused).toEqual([]);
    const lock = aLock(first, blocks, [mia], [...room.book.entries()]);
    const said = (await room.handIn(author(first.pen), lock)).refused;
    expect(said.map(({ fault }) => fault.code)).toEqual(["NOT_ASSIGNED"]);
    expect(new Set(room.book.marks.late(mia).map(({ judge }) => judge))).toEqual(
      new Set([first.person]),
    );
    expect(
      room.book.marks.of(mia, "verdict").filter(({ judge }) => judge === first.person),
    ).toEqual([]);
  });

  it("[S299] waits for whoever has a place again also where whoever had it meanwhile is set on the child since", async () => {
    const { day, room, locks, says, gives } = onTheLine(await aRoom(2));
    const [first, second] = day.judges as [Judge, Judge];
    const spare: Judge = { person: "spare" as PersonId, pen: aPen("spare") };
    await says("seated", { person: spare.person, roles: ["judge"] });
    await gives(first, spare);
    await gives(spare, first, first);
    await says("assigned", { judge: spare.person, section: blocks, wave: 1, candidates: [mia] });
    for (const judge of [spare, second]) expect(await locks(judge)).toEqual([]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(false);
    expect(await locks(first)).toEqual([]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
  });

  it.each(["given on", "taken off"])(
    "[S299] waits for whoever has a place again also where the own place of whoever had it meanwhile is %s",
    async (how) => {
      const { day, room, locks, says, gives } = onTheLine(await aRoom(3));
      const [first, second, third] = day.judges as [Judge, Judge, Judge];
      const spare: Judge = { person: "spare" as PersonId, pen: aPen("spare") };
      await says("seated", { person: spare.person, roles: ["judge"] });
      await says("assigned", { judge: second.person, section: blocks, wave: 1, candidates: [mia] });
      await gives(first, second);
      await gives(second, first, first);
      expect(await locks(second)).toEqual([]);
      if (how === "given on") await gives(second, spare);
      else {
        const { assignments } = room.book.panel;
        for (const { judge, section, wave } of assignments)
          if (judge === second.person && section === blocks && wave)
            await says("assigned", { judge, section, wave, candidates: [] });
      }
      expect(await locks(third)).toEqual([]);
      expect(room.book.openings.isRevealed(mia, blocks)).toBe(false);
      expect(await locks(first)).toEqual([]);
    },
  );

  it.each(["before it was given", "when it had gone back", "never"])(
    "[S299] waits for whoever has a place again that another, with a place of their own, had meanwhile: that one locked %s",
    async (when) => {
      const { day, room, by, locks: alone, gives } = onTheLine(await aRoom(3));
      const [first, second, third] = day.judges as [Judge, Judge, Judge];
      const locks = async (judge: Judge) => {
        judge.pen.hear(room.book.lamport);
        await room.handIn(by(judge), [aMark(judge.pen, { level: judge === first ? 1 : 4 })]);
        return alone(judge);
      };
      if (when === "before it was given") expect(await locks(second)).toEqual([]);
      await gives(first, second);
      await gives(second, first, first);
      if (when === "when it had gone back") expect(await locks(second)).toEqual([]);
      expect(await locks(third)).toEqual([]);
      expect(room.book.openings.isRevealed(mia, blocks)).toBe(false);
      expect(await locks(first)).toEqual([]);
      if (when === "never") expect(await locks(second)).toEqual([]);
      expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
      const levels = room.book.marks.of(mia, "lock").filter(({ level }) => level !== "not-seen");
      expect(levels.map(({ level }) => level).sort()).toEqual([1, 4, 4]);
    },
  );

  it("[S310] opens no marks by an old lock before somebody had a place again who was asked since", async () => {
    const { day, room, by, gives } = onTheLine(await aRoom(2));
    const [first, second] = day.judges as [Judge, Judge];
    await room.handIn(by(first), [aMark(first.pen, { level: 1 })]);
    // Off the line: it hears of nothing that follows.
    second.pen.hear(room.book.lamport + 1);
    const old = aLock(second, blocks, [mia], [...room.book.entries()]);
    await gives(first, second);
    await gives(second, first, first);
    // What the first locks now has not come when the place is given away again.
    await gives(first, second);
    const { refused } = await room.handIn(by(second), old);
    expect(refused.map(({ fault }) => fault.code)).toEqual(["PLAN_OLDER"]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(false);
    second.pen.hear(room.book.lamport);
    const anew = second.pen.write("locked", lockBody(room.book, second.person, blocks, mia));
    expect((await room.handIn(by(second), [anew])).refused).toEqual([]);
    expect(room.book.openings.openedAt(mia, blocks)).toBe(anew.lamport);
  });

  it("[S251] counts one word of a place that was given away and is had again, whoever marked and locked when", async () => {
    const did = fc.constantFrom("nothing", "a mark", "locked");
    const steps = fc.record({ before: did, between: did, after: did, isByHand: fc.boolean() });
    await fc.assert(
      fc.asyncProperty(steps, async ({ before, between, after, isByHand }) => {
        const { day, room, author, judges } = await aRoom();
        const [first, second] = judges;
        const spare = { person: "spare" as PersonId, pen: aPen("spare") };
        const chiefSays = async (kind: EntryKind, body: object) => {
          day.chief.hear(room.book.lamport);
          const said = day.chief.write(kind, body as never);
          const { kept } = await room.handIn(author(day.chief), [said], [record]);
          expect(kept).toHaveLength(1);
        };
        const does = async (what: string, { person, pen }: Judge, level: number) => {
          if (what === "nothing" || room.book.openings.hasLocked(person, mia, blocks)) return;
          pen.hear(room.book.lamport);
          const who: Author = { person, device: pen.device, roles: ["judge"] };
          expect((await room.handIn(who, [aMark(pen, { level })])).refused).toEqual([]);
          if (what !== "locked") return;
          const lock = aLock({ person, pen }, blocks, [mia], [...room.book.entries()]);
          const isTaken = room.book.openings
            .placesOf(mia, blocks)
            .some(
              ({ speakers }) =>
                speakers.includes(person) &&
                speakers.some((one) => room.book.openings.hasLocked(one, mia, blocks)),
            );
          const refused = (await room.handIn(who, lock)).refused.map(({ fault }) => fault.code);
          expect(refused).toEqual(isTaken ? ["PLACE_LOCKED"] : []);
        };
        await chiefSays("seated", { person: spare.person, roles: ["judge"] });
        await does(before, first, 1);
        await chiefSays("judge-replaced", { judge: first.person, by: spare.person });
        await does(between, spare, 2);
        await chiefSays("judge-replaced", { judge: spare.person, by: first.person });
        await does(after, first, 3);
        await does("locked", second, 4);
        if (isByHand && !room.book.openings.isRevealed(mia, blocks))
          await chiefSays("revealed", { section: blocks, candidates: [mia], reason: ref });
        fc.pre(room.book.openings.isRevealed(mia, blocks));
        const ofPlace = (as: "now" | "lock") =>
          room.book.marks
            .of(mia, as)
            .filter(({ judge, level }) => judge !== second.person && level !== "not-seen");
        const places = (as: "now" | "lock") =>
          ofPlace(as).map(({ item, side, criterion }) => `${item} ${side} ${criterion}`);
        // Whatever either of them saw counts, once.
        expect(places("lock").sort()).toEqual([...new Set(places("now"))].sort());
        const locked = before === "locked" || after === "locked";
        if (locked && between !== "locked")
          for (const { judge } of ofPlace("lock")) expect(judge).toBe(first.person);
        // The lock of whoever had the place between opens it, and what is not locked then is asked about.
        if (between !== "locked" || after === "nothing")
          expect(room.book.marks.late(mia)).toEqual([]);
      }),
      { numRuns: 80 },
    );
  });

  it("[S254] changes nobody's word of what is open by a lock that comes then, however old it says to be, wherever places went", async () => {
    const acts = ["to the spare", "back", "first locks", "second locks", "spare locks"] as const;
    const days = fc.record({
      steps: fc.array(fc.constantFrom(...acts), { minLength: 4, maxLength: 8 }),
      // Whoever is away hears nothing, and hands in at the end what they wrote: honest where it was written then, a lie where it is made up after.
      isAway: fc.record({ first: fc.boolean(), spare: fc.boolean() }),
      endsWith: fc.shuffledSubarray([
        "first locks",
        "spare locks",
        "second locks",
        "first steps back",
      ] as const),
    });
    let opened = 0;
    await fc.assert(
      fc.asyncProperty(days, async ({ steps, isAway, endsWith }) => {
        const { day, room, author, judges } = await aRoom();
        const spare = { person: "spare" as PersonId, pen: aPen("spare") };
        const [first, second] = judges;
        const chiefSays = async (kind: EntryKind, body: object) => {
          day.chief.hear(room.book.lamport);
          await room.handIn(author(day.chief), [day.chief.write(kind, body as never)], [record]);
        };
        await chiefSays("seated", { person: spare.person, roles: ["judge"] });
        const begun = [...room.book.entries()];
        const unsent = new Map<Judge, AnyEntry[]>();
        const locks = (judge: Judge, level: number, hears: boolean) => {
          if (hears) judge.pen.hear(room.book.lamport);
          const waiting = unsent.get(judge) ?? [];
          unsent.set(judge, waiting);
          const known = [...(hears ? room.book.entries() : begun), ...waiting];
          const mark = aMark(judge.pen, { level });
          waiting.push(mark, ...aLock(judge, blocks, [mia], [...known, mark]));
        };
        const handsIn = async (judge: Judge) => {
          const who: Author = { person: judge.person, device: judge.pen.device, roles: ["judge"] };
          await room.handIn(who, unsent.get(judge)?.splice(0) ?? []);
        };
        let stood: unknown;
        const heard = new Map<PersonId, boolean>();
        const look = () => {
          for (const { person } of [first, second, spare])
            if (room.book.openings.hasLocked(person, mia, blocks) && !heard.has(person))
              heard.set(person, room.book.openings.isRevealed(mia, blocks));
          if (!room.book.openings.isRevealed(mia, blocks)) return;
          if (stood === undefined) opened++;
          stood ??= room.book.marks.of(mia, "lock");
          const counted = room.book.marks.of(mia, "lock");
          expect(counted).toEqual(stood);
          // Whoever was heard to lock before the marks were open counts.
          for (const { person } of [first, second, spare])
            if (heard.get(person) === false)
              expect(counted.some(({ judge }) => judge === person)).toBe(true);
        };
        const whoLocks = {
          "first steps back": first,
          "first locks": first,
          "second locks": second,
          "spare locks": spare,
        };
        for (const act of steps) {
          if (act === "to the spare")
            await chiefSays("judge-replaced", { judge: first.person, by: spare.person });
          else if (act === "back")
            await chiefSays("judge-replaced", { judge: spare.person, by: first.person });
          else {
            const judge = whoLocks[act];
            const away =
              (judge === first && isAway.first) || (judge === spare && isAway.spare) || false;
            locks(judge, (steps.indexOf(act) % 3) + 1, !away);
            if (!away) await handsIn(judge);
          }
          look();
        }
        for (const act of endsWith) {
          const judge = whoLocks[act];
          if (act === "first steps back") {
            const back = judge.pen.write("recused", { candidate: mia, section: null });
            unsent.set(judge, [...(unsent.get(judge) ?? []), back as AnyEntry]);
          } else if (!unsent.get(judge)?.length) locks(judge, 4, false);
          await handsIn(judge);
          look();
        }
      }),
      {
        numRuns: 120,
        examples: [
          // Somebody has the place again, locks, and goes for good before the others have locked.
          [
            {
              steps: ["to the spare", "back", "first locks", "to the spare", "second locks"],
              isAway: { first: false, spare: false },
              endsWith: [],
            },
          ],
        ],
      },
    );
    expect(opened).toBeGreaterThan(15);
  });

  it("[S254] changes nobody's word of what is open, and closes nothing, by a line of a chief that was written before and comes then", async () => {
    const person = fc.nat({ max: 3 });
    const lines = fc.oneof(
      fc.record({ what: fc.constant("gives" as const), who: person, to: person }),
      fc.record({ what: fc.constant("opens" as const) }),
      fc.record({ what: fc.constant("plans" as const), who: person, has: fc.boolean() }),
    );
    const latest = fc.oneof(lines, fc.record({ what: fc.constant("closes" as const) }));
    const acts = fc.oneof(
      fc.record({ what: fc.constant("locks" as const), who: person, locks: fc.boolean() }),
      fc.record({ what: fc.constant("steps back" as const), who: person }),
      // A second tablet of a judge's, without a line: what it writes comes later.
      fc.record({ what: fc.constant("locks away" as const), who: person, hears: fc.boolean() }),
      fc.record({ what: fc.constant("comes back" as const), who: person }),
      lines,
    );
    const days = fc.record({
      acts: fc.array(acts, { minLength: 3, maxLength: 11 }),
      late: fc.array(fc.record({ line: latest, later: fc.nat({ max: 30 }) }), {
        minLength: 1,
        maxLength: 3,
      }),
    });
    let opened = 0;
    await fc.assert(
      fc.asyncProperty(days, async ({ acts, late }) => {
        const { day, room, author, judges } = await aRoom();
        const spares = ["spare", "other"].map((name) => ({
          person: name as PersonId,
          pen: aPen(name),
        }));
        const panel = [...judges, ...spares] as Judge[];
        const of = (at: number) => panel[at] as Judge;
        const away = aPen("second-chief");
        const seats = [...spares.map(({ person: one }) => one), "second-chief" as PersonId].map(
          (one) =>
            day.chief.write("seated", {
              person: one,
              roles: [one === "second-chief" ? "chief" : "judge"],
            }),
        );
        await room.handIn(author(day.chief), seats);
        const begun = room.book.lamport;
        type Line = typeof latest extends fc.Arbitrary<infer One> ? One : never;
        const says = async (pen: typeof away, line: Line) => {
          const by = (pen === away ? "second-chief" : "chief") as PersonId;
          const who = { ...author(day.chief), person: by, device: pen.device };
          const said =
            line.what === "gives"
              ? pen.write("judge-replaced", { judge: of(line.who).person, by: of(line.to).person })
              : line.what === "opens"
                ? pen.write("revealed", { section: blocks, candidates: [mia], reason: ref })
                : line.what === "closes"
                  ? pen.write("closed", { reason: ref, basis: {} })
                  : pen.write("assigned", {
                      judge: of(line.who).person,
                      section: blocks,
                      candidates: line.has ? [mia] : [],
                      wave: 1,
                    });
          await room.handIn(who, [said], [record]);
        };
        let stood: unknown;
        const look = () => {
          const isOpen = room.book.openings.isRevealed(mia, blocks);
          if (stood !== undefined) expect(isOpen).toBe(true);
          if (!isOpen) return;
          if (stood === undefined) opened++;
          const words = [room.book.marks.of(mia, "lock"), room.book.marks.overalls(mia)];
          stood ??= words;
          expect(words).toEqual(stood);
        };
        let level = 0;
        const elsewhere = panel.map(({ person: one }) => ({
          pen: aPen(one, `${one}-second`),
          waits: [] as unknown[],
        }));
        const atStart = [...room.book.entries()];
        const comesBack = async (at: number) => {
          const { pen, waits } = elsewhere[at] as (typeof elsewhere)[number];
          const who: Author = { person: of(at).person, device: pen.device, roles: ["judge"] };
          await room.handIn(who, waits.splice(0));
        };
        for (const act of acts) {
          if (act.what === "comes back") await comesBack(act.who);
          else if (act.what === "locks away") {
            const { pen, waits } = elsewhere[act.who] as (typeof elsewhere)[number];
            if (waits.length > 0) continue;
            pen.hear(act.hears ? room.book.lamport : begun);
            const known = act.hears ? [...room.book.entries()] : atStart;
            const first = aMark(pen, { level: (level++ % 4) + 1 });
            const judge = { person: of(act.who).person, pen };
            waits.push(first, ...aLock(judge, blocks, [mia], [...known, first] as AnyEntry[]));
          } else if (act.what === "locks" || act.what === "steps back") {
            const judge = of(act.who);
            judge.pen.hear(room.book.lamport);
            const who: Author = { ...judge, device: judge.pen.device, roles: ["judge"] };
            if (act.what === "steps back")
              await room.handIn(who, [
                judge.pen.write("recused", { candidate: mia, section: null }),
              ]);
            else {
              await room.handIn(who, [aMark(judge.pen, { level: (level++ % 4) + 1 })]);
              const known = [...room.book.entries()];
              if (act.locks) await room.handIn(who, aLock(judge, blocks, [mia], known));
            }
          } else {
            day.chief.hear(room.book.lamport);
            await says(day.chief, act);
          }
          look();
        }
        for (const { line, later } of late) {
          away.hear(begun + later);
          await says(away, line);
          look();
        }
        for (const at of panel.keys()) {
          await comesBack(at);
          look();
        }
        day.chief.hear(room.book.lamport);
        const { basis } = room.book;
        await room.handIn(
          author(day.chief),
          [day.chief.write("closed", { reason: ref, basis })],
          [record],
        );
        look();
      }),
      { numRuns: 100 },
    );
    expect(opened).toBeGreaterThan(15);
  });

  it.each(["verdict", "closed"] as const)(
    "[S254] refuses again what was refused, also when the chief's %s counts over it",
    async (kind) => {
      const { day, room, author, judges } = await aRoom();
      const [first, second] = judges;
      const ofMia = makeSideRecord(
        { grading: aGradingId, about: mia, kind: "text", body: { text: "As it is." } },
        { random: (bytes) => new Uint8Array(bytes) },
      );
      const takes = async (pen: Pen, ...lines: unknown[]) =>
        (await room.handIn(author(pen), lines, [record, ofMia.record])).refused.map(
          ({ fault }) => fault.code,
        );
      await takes(first.pen, aMark(first.pen, { level: 1 }));
      const back = first.pen.write("recused", { candidate: mia, section: null });
      second.pen.hear(40);
      await takes(second.pen, ...aLock(second, blocks, [mia], [...room.book.entries()]));
      day.chief.hear(room.book.lamport);
      await takes(
        day.chief,
        day.chief.write("revealed", { section: blocks, candidates: [mia], reason: ref }),
      );
      // Somebody else's place is given away, so that it is asked whose word counts.
      const others = { judge: second.person, by: "spare" as PersonId };
      await takes(
        day.chief,
        day.chief.write("seated", { person: others.by, roles: ["judge"] }),
        day.chief.write("judge-replaced", others),
      );
      const stood = room.book.marks.of(mia, "verdict");
      expect(stood.some(({ judge }) => judge === first.person)).toBe(true);
      expect(await takes(first.pen, back)).toEqual(["SECTION_OPEN"]);
      expect(
        await takes(first.pen, first.pen.write("related", { candidate: mia, relation: "other" })),
      ).toEqual([]);
      const basis = room.book.basis;
      const said =
        kind === "closed"
          ? day.chief.write("closed", { reason: ref, basis })
          : day.chief.write("verdict", {
              candidate: mia,
              result: "retest",
              retestSections: [],
              computed: "incomplete",
              basis,
              reason: ofMia.ref,
            });
      expect(await takes(day.chief, said)).toEqual([]);
      expect(await takes(first.pen, back)).toEqual(["SECTION_OPEN"]);
      expect(room.book.marks.of(mia, "verdict")).toEqual(stood);
    },
  );

  it.each(["closed", "judge-replaced", "revealed", "assigned"] as const)(
    "[H168] leaves what it held of a judge as it is, where a lock of that judge's other tablet had come late, at the chief's next %s",
    async (kind) => {
      const { day, room, author, judges } = await aRoom();
      const [first, second] = judges;
      const takes = async (who: Author, ...lines: unknown[]) =>
        (await room.handIn(who, lines, [record])).refused.map(({ fault }) => fault.code);
      const as = ({ person }: Judge, { device }: Pen): Author => ({
        person,
        device,
        roles: ["judge"],
      });
      const other = aPen(first.person, "other-tablet");
      other.hear(room.book.lamport);
      // The other tablet has no line: it marks, and locks, what nobody hears.
      const words = aLock({ ...first, pen: other }, blocks, [mia], [...room.book.entries()]);
      expect(await takes(as(first, first.pen), aMark(first.pen, { level: 3 }))).toEqual([]);
      second.pen.hear(60);
      const known = [...room.book.entries()];
      expect(await takes(as(second, second.pen), ...aLock(second, blocks, [mia], known))).toEqual(
        [],
      );
      day.chief.hear(room.book.lamport);
      const opening = { section: blocks, candidates: [mia], reason: ref };
      const away = aPen("second-chief", "second-tablet");
      const seat = { person: "second-chief" as PersonId, roles: ["chief" as const] };
      expect(
        await takes(
          author(day.chief),
          day.chief.write("seated", seat),
          day.chief.write("revealed", opening),
        ),
      ).toEqual([]);
      const stood = room.book.marks.of(mia, "lock");
      expect(stood.some(({ judge, level }) => judge === first.person && level === 3)).toBe(true);
      await takes(as(first, other), ...words);
      expect(room.book.marks.of(mia, "lock")).toEqual(stood);
      const { chief } = day;
      chief.hear(room.book.lamport);
      away.hear(room.book.lamport);
      const asAway: Author = { ...seat, device: away.device };
      const { basis } = room.book;
      if (kind === "closed")
        await takes(author(chief), chief.write("closed", { reason: ref, basis }));
      else if (kind === "judge-replaced")
        await takes(author(chief), chief.write(kind, { judge: second.person, by: first.person }));
      else if (kind === "revealed") await takes(asAway, away.write(kind, opening));
      else
        await takes(
          author(chief),
          chief.write(kind, { judge: second.person, section: blocks, candidates: [], wave: 1 }),
        );
      expect(room.book.marks.of(mia, "lock")).toEqual(stood);
      expect(room.book.marks.of(mia, "verdict")).toEqual(stood);
    },
  );

  it.each(["before", "after"] as const)(
    "[S262] lets late marks count that the chief lets count, where somebody else is replaced %s",
    async (when) => {
      const { day, room, author, judges } = await aRoom();
      const [first, second] = judges;
      const ofMia = makeSideRecord(
        { grading: aGradingId, about: mia, kind: "text", body: { text: "They count." } },
        { random: (bytes) => new Uint8Array(bytes) },
      );
      const takes = async (pen: Pen, ...lines: unknown[]) =>
        expect((await room.handIn(author(pen), lines, [record, ofMia.record])).refused).toEqual([]);
      const { chief } = day;
      const replaces = () =>
        takes(
          chief,
          chief.write("seated", { person: "spare" as PersonId, roles: ["judge"] }),
          chief.write("judge-replaced", { judge: "other" as PersonId, by: "spare" as PersonId }),
        );
      await takes(first.pen, aMark(first.pen, { level: 4 }));
      if (when === "before") await replaces();
      // The only one who has not locked is taken off before anybody has.
      for (const { body } of day.plan)
        if ("judge" in body && body.judge === first.person && body.section === blocks)
          await takes(
            chief,
            chief.write("judge-replaced", { judge: first.person, by: second.person }),
          );
      second.pen.hear(room.book.lamport);
      await takes(second.pen, ...aLock(second, blocks, [mia], [...room.book.entries()]));
      expect(room.book.openings.isRevealed(mia, blocks)).toBe(true);
      chief.hear(room.book.lamport);
      await takes(
        chief,
        chief.write("review-settled", {
          question: lateQuestion(first.person, blocks),
          candidate: mia,
          decision: "late-counts",
          basis: room.book.basis,
          reason: ofMia.ref,
        }),
      );
      if (when === "after") await replaces();
      const counted = room.book.marks.of(mia, "verdict");
      expect(counted.some(({ judge, level }) => judge === first.person && level === 4)).toBe(true);
    },
  );

  it("[S263] opens nothing by a watch that is taken off by a chief who has not heard of the locks", async () => {
    const { day, room, author, judges } = await aRoom();
    const { chief } = day;
    const person = "spare" as PersonId;
    const watch = { judge: person, section: blocks, wave: 1 };
    const plan = [
      chief.write("seated", { person, roles: ["judge"] }),
      chief.write("assigned", { ...watch, candidates: [mia] }),
    ];
    expect((await room.handIn(author(chief), plan)).refused).toEqual([]);
    // Written before the locks, and once more, by a device whose logical time went far on.
    const late = chief.write("assigned", { ...watch, candidates: [] });
    chief.hear(500);
    const lines = [late, chief.write("assigned", { ...watch, candidates: [] })];
    for (const judge of judges) {
      judge.pen.hear(room.book.lamport);
      const known = [...room.book.entries()];
      await room.handIn(author(judge.pen), aLock(judge, blocks, [mia], known));
    }
    const { refused } = await room.handIn(author(chief), lines);
    expect(refused.map(({ fault }) => fault.code)).toEqual(["PLAN_OLDER", "PLAN_OLDER"]);
    expect(room.book.openings.isRevealed(mia, blocks)).toBe(false);
  });

  it("[H157] asks a file the same where a hub has the test", async () => {
    for (const lie of ["held", "basis"] as const) {
      const { day, store, room, author, judges } = await aRoom();
      const [first, second] = judges;
      for (const judge of [first, second])
        await room.handIn(author(judge.pen), aLock(judge, blocks, [mia], [...room.book.entries()]));
      const stood = room.book.marks.of(mia, "lock");
      day.chief.hear(room.book.lamport);
      const said = { section: blocks, candidates: [mia], reason: ref };
      const basis = {};
      const opening = day.chief.write("revealed", {
        ...said,
        ...(lie === "basis" && { basis, without: [first.person] }),
      });
      const where = { of: opening.id, judge: first.person, candidate: mia, section: blocks };
      const forged = aPen("chief", "held-somewhere").write("held", { ...where, basis });
      const file = readScorebookFile(
        scorebookFile(
          aGradingId,
          [...room.book.entries(), ...(lie === "held" ? [forged] : []), opening] as AnyEntry[],
          [record],
          "chief" as PersonId,
        ),
      );
      if (!file.ok) throw new Error("the file cannot be read");
      const atDoor = [{ device: day.chief.device, person: "chief" as PersonId }];
      await takePersonsFile(store, file.file as never, [], atDoor, aBox());
      const after = await GradingRoom.open(aGradingId, store, "hub", { box: aBox() });
      expect(after.book.entry(opening.id) !== undefined).toBe(lie === "held");
      expect(after.book.marks.of(mia, "lock")).toEqual(stood);
      expect(after.book.marks.late(mia)).toEqual([]);
    }
  });
});

/** A hub with its key, which two judges mark one child at. */
/** What people of a room do on its line, each having heard everything. */
function onTheLine({ day, room, author }: Awaited<ReturnType<typeof aRoom>>) {
  const by = ({ person, pen }: Judge): Author => ({
    ...{ person, device: pen.device, roles: ["judge"] },
  });
  /** @returns why a lock was refused; the rest was not seen */
  const locks = async (judge: Judge) => {
    judge.pen.hear(room.book.lamport);
    const lock = aLock(judge, blocks, [mia], [...room.book.entries()]);
    return (await room.handIn(by(judge), lock)).refused.map(({ fault }) => fault.code);
  };
  const says = async (kind: EntryKind, body: object) => {
    day.chief.hear(room.book.lamport);
    const line = day.chief.write(kind, body as never);
    expect((await room.handIn(author(day.chief), [line])).refused).toEqual([]);
  };
  /** @param of  whose place it was in the plan */
  const gives = (judge: Judge, to: Judge, of = judge) =>
    says("judge-replaced", { judge: judge.person, by: to.person, places: [of.person] });
  return { day, room, by, locks, says, gives };
}

async function aRoom(judges = 2) {
  const day = aTestDay({ judges, candidates: 1 });
  const store = openMemoryScorebook();
  const room = await GradingRoom.open(aGradingId, store, "hub", { box: aBox() });
  const author = ({ device }: Pen): Author => {
    const judge = day.judges.find(({ pen }) => pen.device === device);
    return judge
      ? { device, person: judge.person, roles: ["judge"] }
      : { device, person: "chief" as PersonId, roles: ["chief"] };
  };
  await room.handIn(author(day.chief), day.plan);
  return { day, store, room, author, judges: day.judges as [Judge, Judge] };
}
