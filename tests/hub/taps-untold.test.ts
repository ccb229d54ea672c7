import fc from "fast-check";
import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { lockBody } from "../../src/belt-test/scorebook/judge-view.ts";
import { Pen } from "../../src/belt-test/scorebook/pen.ts";
import type { Basis } from "../../src/book/counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { CountId, DeviceId, PersonId } from "../../src/book/identity.ts";
import { vouchedEntryId } from "../../src/book/vouched-id.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { platformClock } from "../../src/ports/clock.ts";
import { aBox } from "../builders/a-box.ts";
import { theRestNotSeen } from "../builders/a-lock.ts";
import { aGradingId, anIdOf } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

const blocks = "blocks" as SectionId;
const viewers: readonly { person: PersonId; roles: readonly Role[] }[] = [
  { person: "chief" as PersonId, roles: ["chief"] },
  { person: "judge-2" as PersonId, roles: ["judge"] },
  { person: "caller" as PersonId, roles: ["caller"] },
  { person: "desk" as PersonId, roles: ["desk"] },
];
const whats = [
  "mark",
  "lock",
  "stop",
  "step back",
  "withdraw",
  "overall",
  "open",
  "replace",
] as const;
const acts = fc.array(
  fc.record({
    judge: fc.integer({ min: 0, max: 2 }),
    child: fc.integer({ min: 0, max: 2 }),
    what: fc.constantFrom(...whats),
    level: fc.integer({ min: 1, max: 4 }),
    /** So often judge-1 taps on a child whose marks stay closed, one after the other on the same cell. */
    more: fc.integer({ min: 0, max: 4 }),
  }),
  { minLength: 4, maxLength: 30 },
);
type Act = typeof acts extends fc.Arbitrary<readonly (infer One)[]> ? One : never;

/** Everything that everybody but judge-1 is sent of a day on which judge-1 taps on the last child as often as is said. */
async function sentOn(script: readonly Act[], isMore: boolean): Promise<string[]> {
  const day = aTestDay({ judges: 3, candidates: 4 });
  const closed = day.candidates[3] as CandidateId;
  // An entry's name says which act wrote it, not how many came before.
  let [act, made] = [0, 0];
  const makeId = () => {
    made++;
    return anIdOf(act * 2 ** 20 + made);
  };
  const now = (name: number) => {
    act = name;
    made = 0;
  };
  const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub", {
    makeId,
    box: aBox(),
    clock: { ...platformClock, nowMs: () => 1 },
  });
  const plan = day.plan.map((entry, at) => {
    now(at);
    return { ...entry, id: vouchedEntryId(makeId(), entry) } as AnyEntry;
  });
  const chief = {
    person: "chief" as PersonId,
    roles: ["chief"] as const,
    device: day.chief.device,
  };
  expect((await room.handIn(chief, plan)).refused).toEqual([]);
  const { ref, record } = makeSideRecord(
    { grading: aGradingId, about: closed, kind: "text", body: { text: "tablet lost" } },
    { random: (bytes) => new Uint8Array(bytes) },
  );
  const pens = day.judges.map(
    ({ person, pen: { device } }) =>
      new Pen({ grading: aGradingId, person, device, makeId, nowMs: () => 1, lamport: 100 }),
  );
  const handIn = async (pen: Pen, person: PersonId, entries: AnyEntry[]) => {
    await room.handIn({ person, roles: ["judge"], device: pen.device }, entries);
    // Everybody counts on from what they are sent.
    for (const [at, other] of pens.entries()) {
      const viewer = { person: day.judges[at]?.person as PersonId, roles: ["judge"] as const };
      for (const { entry } of room.feed(viewer).after(0)) other.hear(entry.lamport);
    }
  };
  // That somebody has begun is told.
  now(99);
  const [first] = pens as [Pen];
  await handIn(first, "judge-1" as PersonId, [aMark(first, { candidate: closed })]);
  for (const [at, { judge, child, what, level, more }] of script.entries()) {
    const pen = pens[judge] as Pen;
    const { person } = day.judges[judge] as { person: PersonId };
    const candidate = day.candidates[child] as CandidateId;
    now(100 + 2 * at);
    await handIn(pen, person, [
      ...(what === "mark" ? [aMark(pen, { candidate, level }) as AnyEntry] : []),
      ...(what === "overall"
        ? [pen.write("overall", { candidate, section: blocks, judgement: 2 })]
        : []),
      ...(what === "lock"
        ? theRestNotSeen({ person, pen }, blocks, [candidate], [...room.book.entries()])
        : []),
      ...(what === "stop" ? [pen.write("stopped", { wave: null })] : []),
      ...(what === "step back" ? [pen.write("recused", { candidate, section: blocks })] : []),
      ...(what === "withdraw" ? [pen.write("withdrawn", { candidate, why: "hurt" })] : []),
    ]);
    if (what === "open" || what === "replace") {
      for (const { entry } of room.feed(chief).after(0)) day.chief.hear(entry.lamport);
      const by = day.judges[(judge + 1) % 3]?.person as PersonId;
      const body = { section: blocks, candidates: [candidate], reason: ref };
      const entry =
        what === "open"
          ? day.chief.write("revealed", body)
          : day.chief.write("judge-replaced", { judge: person, by });
      await room.handIn(
        chief,
        [{ ...entry, id: vouchedEntryId(makeId(), entry) } as AnyEntry],
        [record],
      );
    }
    if (what === "lock")
      await handIn(pen, person, [
        pen.write("locked", lockBody(room.book, person, blocks, candidate)),
      ]);
    now(101 + 2 * at);
    const taps = isMore ? more : 0;
    await handIn(
      first,
      "judge-1" as PersonId,
      Array.from({ length: taps }, (_, tap) =>
        aMark(first, { candidate: closed, level: (tap % 4) + 1 }),
      ),
    );
  }
  return viewers.map((viewer) =>
    JSON.stringify([
      room
        .feed(viewer)
        .after(0)
        .map(({ entry }) => toldBy(entry)),
      room.coverage(),
    ]),
  );
}

/** Of a box, which holds chance too, only how long it is. */
function toldBy(entry: AnyEntry): unknown {
  const { box } = entry.body as { box?: string };
  return box === undefined ? entry : { ...entry, body: { ...entry.body, box: box.length } };
}

describe("how often a judge has tapped where the marks are closed", () => {
  it("[H102] is told to nobody, whatever else is open: what everybody else is sent is the same, letter for letter", async () => {
    await fc.assert(
      fc.asyncProperty(acts, async (script) => {
        expect(await sentOn(script, true)).toEqual(await sentOn(script, false));
      }),
      { numRuns: 50 },
    );
  });

  it("[H102] is not in what is answered to a verdict on another child that names it", async () => {
    const day = aTestDay({ judges: 2, candidates: 2 });
    const [mia, ben] = day.candidates as [CandidateId, CandidateId];
    const [first] = day.judges;
    if (!first) throw new Error("a judge");
    const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
    const { device } = day.chief;
    const chief = { person: "chief" as PersonId, roles: ["chief"] as const, device };
    await room.handIn(chief, day.plan);
    const marks = [1, 2, 3].map((level) => aMark(first.pen, { candidate: mia, level }));
    const judge = {
      person: first.person,
      roles: ["judge"] as const,
      device: first.pen.device as DeviceId,
    };
    await room.handIn(judge, marks);
    const count = marks[0]?.device as CountId;
    // The reason's words are held back, so that nothing of it is ever kept.
    const { ref: unsent } = makeSideRecord(
      { grading: aGradingId, about: ben, kind: "text", body: { text: "never sent" } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const answers = await Promise.all(
      [1, 2, 3, 4, 50].map(async (n) => {
        const verdict = day.chief.write("verdict", {
          ...{ candidate: ben, result: "pass", computed: "pass", retestSections: [] },
          basis: { [count]: n } as Basis,
          reason: unsent,
        });
        return (await room.handIn(chief, [verdict])).refused[0]?.fault;
      }),
    );
    expect(new Set(answers.map((fault) => JSON.stringify(fault))).size).toBe(1);
  });

  it("[H102] is not in the lock that opens another child either: its count begins at one there", async () => {
    const script = ([0, 1, 2] as const).map(
      (judge): Act => ({ judge, child: 0, what: "lock", level: 2, more: 3 }),
    );
    const [sent = ""] = await sentOn(script, true);
    const locks = (JSON.parse(sent) as [AnyEntry[]])[0].filter(
      ({ kind, by }) => kind === "locked" && by === "judge-1",
    );
    expect(locks).toHaveLength(1);
    for (const { device, n, body } of locks)
      expect((body as { basis: object }).basis).toEqual({ [device]: n - 1 });
  });
});
