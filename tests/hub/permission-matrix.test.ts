import type { AddressInfo } from "node:net";
import Database from "libsql";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { type EntryKind, entryKinds } from "../../src/belt-test/kinds/all-kinds.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { FaultLibrary } from "../../src/belt-test/rubric/fault-library.ts";
import type { EntryBody } from "../../src/belt-test/scorebook/entry.ts";
import { basisOfPerson } from "../../src/belt-test/scorebook/out-of-turn.ts";
import type { Pen } from "../../src/belt-test/scorebook/pen.ts";
import { basisFor } from "../../src/belt-test/scorebook/place-counts.ts";
import { RULES } from "../../src/belt-test/scorebook/rules.ts";
import type { Basis } from "../../src/book/counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, EntryId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { buildHub, type Hub } from "../../src/hub/build-hub.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { theRestNotSeen } from "../builders/a-lock.ts";
import { anEntryId, aPen } from "../builders/a-pen.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { ATablet } from "../builders/a-tablet.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { anAnchor, anAnchorId, anchorLevels } from "../builders/an-anchor.ts";
import { anId, aTextRef } from "../builders/an-id.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { shippedFaultLibrary } from "../builders/shipped-rubrics.ts";

/*
 * Who may write what, as the school decided it; written by hand and not from src/belt-test/permit/refusal.ts.
 * Lines with a second column go beyond the plain table of roles, for the reason given.
 */
const written: Record<EntryKind, readonly [roles: string, why?: string]> = {
  // The plan and the seating are the chief's.
  opened: ["chief"],
  frozen: ["chief"],
  "faults-frozen": ["chief"],
  "rubric-replaced": ["chief"],
  seated: ["chief"],
  assigned: ["chief"],
  "judge-replaced": ["chief"],
  "held-at-giving": ["chief", "of a test without a hub, in the chief's file"],
  "lined-up": ["chief"],
  started: ["chief"],
  closed: ["chief"],
  // The roster, who is here and who is not.
  entered: ["chief desk"],
  "checked-in": ["chief desk", "a small school's chief sits at the door"],
  absent: ["chief desk", "as above"],
  unfit: ["chief desk", "as above"],
  expected: ["chief desk", "as above"],
  excused: ["chief desk", "written where the birth year is known: Decisions, 2026-11-25"],
  // Calls.
  called: ["caller chief", "a chief may call; one person may hold both"],
  paused: ["caller chief", "as above"],
  resumed: ["caller chief", "as above"],
  "lanes-swapped": ["judge caller chief", "whoever sees two children in each other's place"],
  "floor-cleared": ["chief caller", "after a stop the floor is the caller's again"],
  // A judge's own hand.
  mark: ["judge"],
  overall: ["judge"],
  faults: ["judge"],
  note: ["judge"],
  locked: ["judge"],
  answered: ["judge"],
  held: ["chief", "what a lost hub had written, given back to one put back from an older copy"],
  "held-sealed": ["chief", "the same, shut away while the marks are closed"],
  "let-in": ["", "the hub alone says who came in as whom"],
  related: ["judge"],
  recused: ["judge"],
  "anchor-marked": ["judge"],
  // Everybody admitted, never refused.
  stopped: ["judge caller desk chief"],
  incident: ["judge caller desk chief"],
  withdrawn: ["judge caller desk chief"],
  // Reveal, reviews, verdicts, release, corrections, and what watches the panel.
  revealed: ["chief"],
  "remark-asked": ["chief"],
  "review-settled": ["chief"],
  verdict: ["chief"],
  "sheet-edited": ["chief"],
  "sheet-released": ["chief"],
  correction: ["chief"],
  "anchor-set": ["chief"],
  "anchor-agreed": ["chief"],
  "severity-kept": ["chief"],
  "severities-used": ["chief"],
  "judge-told": ["chief"],
  erased: ["chief"],
};
const may = (kind: EntryKind, roles: readonly Role[]): boolean =>
  written[kind][0].split(" ").some((role) => roles.includes(role as Role));

const rubric = aRubric();
const [one, two, three] = ["candidate-1", "candidate-2", "candidate-3"] as CandidateId[] as [
  CandidateId,
  CandidateId,
  CandidateId,
];
const blocks = anId("blocks");
/** What the judges of these tests had marked before, each on a tablet of their own. */
const earlier = (person: string) => `${person}-marks`;
const basis = { [earlier("judge-1")]: 99, [earlier("chief")]: 99 } as Basis;
const chance = { makeId: anEntryId, random: (bytes: number) => new Uint8Array(bytes).fill(7) };
const digestOf = (record: { ref: object }) => record.ref as never;
const place = { section: blocks, item: anId("rising-block"), side: "left" as const };

/** One valid body of every kind, in an order in which each may follow the ones before it. */
function bodies(text: never, own: never, of: EntryId): { [Kind in EntryKind]: EntryBody<Kind> } {
  const verdict = {
    candidate: one,
    result: "pass" as const,
    retestSections: [],
    computed: "pass" as const,
    basis,
  };
  return {
    opened: { title: "Another title", date: "2026-06-06", rules: RULES },
    "anchor-set": { anchor: anAnchorId, rubric: rubric.id, section: blocks, isOpen: true },
    "anchor-agreed": { anchor: anAnchorId, marks: anchorLevels(rubric, 3) },
    "anchor-marked": { anchor: anAnchorId, marks: anchorLevels(rubric, 2) },
    "rubric-replaced": { rubric: { ...rubric, version: 2 }, reason: own },
    frozen: { rubric: aRubric({ id: "another-rubric" }) },
    "faults-frozen": { library: FaultLibrary.parse(shippedFaultLibrary) },
    seated: { person: "judge-9" as PersonId, roles: ["judge"] },
    "judge-replaced": { judge: "judge-3" as PersonId, by: "judge-9" as PersonId },
    "held-at-giving": { of: anEntryId() as EntryId, basis: {} },
    assigned: { judge: "judge-9" as PersonId, section: blocks, candidates: [one] },
    entered: { candidate: "candidate-9" as CandidateId, number: 9, rubric: rubric.id },
    "lined-up": { wave: 1, lanes: [two, one, three] },
    started: {},
    "checked-in": { candidate: one },
    absent: { candidate: three },
    unfit: { candidate: three },
    expected: { candidate: three },
    excused: { candidate: three, section: blocks, item: anId("low-block"), why: "age" },
    called: { wave: 1, ...place },
    paused: {},
    resumed: {},
    "lanes-swapped": { wave: 1, candidates: [one, two] },
    mark: {
      ...place,
      cells: [{ candidate: one, criterion: anId("chamber"), level: 3, how: "tapped" }],
    },
    overall: { candidate: one, section: blocks, judgement: 3 },
    faults: { candidate: one, ...place, criterion: anId("chamber"), faults: [] },
    note: { candidate: one, ...place, text },
    related: { candidate: two, relation: "family" },
    locked: { section: blocks, candidates: [one], basis },
    answered: { request: anEntryId() as EntryId, candidate: one, section: blocks, basis },
    held: {
      of: anEntryId() as EntryId,
      judge: "judge-1" as PersonId,
      candidate: one,
      section: blocks,
      basis,
    },
    "held-sealed": { of: anEntryId() as EntryId, box: "not of this hub" },
    "let-in": {
      person: "judge-2" as PersonId,
      device: "further" as DeviceId,
      decidedBy: "chief" as PersonId,
    },
    recused: { candidate: two, section: null },
    stopped: { wave: 1 },
    "floor-cleared": {},
    incident: { candidate: one, text },
    withdrawn: { candidate: three, why: "own-wish" },
    revealed: { section: blocks, candidates: [one], reason: text },
    "remark-asked": {
      judge: "judge-2" as PersonId,
      candidate: one,
      ...place,
      criterion: null,
      ask: "blank",
    },
    "review-settled": { question: "q", candidate: one, decision: "stands", reason: text },
    verdict,
    "sheet-edited": { candidate: one },
    "sheet-released": { candidate: one },
    correction: { of, reason: own },
    "severity-kept": {
      judge: "judge-2" as PersonId,
      from: "earlier" as GradingId,
      date: "2026-01-01",
      kept: null,
    },
    "severities-used": { anchors: true, history: false },
    "judge-told": {
      judge: "judge-2" as PersonId,
      standing: "like-others",
      severity: null,
      candidates: 0,
      marks: 0,
      restShare: 0,
      sameShare: 0,
      drift: [],
    },
    erased: { about: three },
    closed: {},
  };
}

let hub: Hub;
let store: ScorebookStore;
let database: Database.Database;
let address: string;
let chiefToken: string;
let made = 0;
beforeAll(async () => {
  store = openMemoryScorebook();
  database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
  hub = await buildHub({ store, storeName: "memory", version: "0", desk });
  await hub.app.listen({ port: 0, host: "127.0.0.1" });
  address = `http://127.0.0.1:${(hub.app.server.address() as AddressInfo).port}`;
  chiefToken = (await desk.makeChief("laptop" as DeviceId)).token;
});
afterAll(async () => {
  await hub.app.close();
  database.close();
});

interface AtWork {
  grading: GradingId;
  pen: Pen;
  tablet: ATablet;
  /** Free texts that entries may refer to: about a candidate, and about the writer. */
  text: { ref: object; record: SideRecord };
  /** What stands in the book before anything of this hand. */
  known: readonly AnyEntry[];
  own: { ref: object; record: SideRecord };
}
/** Somebody admitted with these roles to a belt test of their own, on the line. */
async function atWork(
  person: string,
  roles: readonly Role[],
  before: (grading: GradingId) => AnyEntry[] = () => [],
): Promise<AtWork> {
  const grading = `grading-${++made}` as GradingId;
  const device = `${person}-tablet-${made}` as DeviceId;
  const chief = aPen("chief", "planner", grading);
  const plan = aTestDay().plan.map((entry) => ({ ...entry, grading, device: "plan" as DeviceId }));
  chief.hear(plan.length);
  // A chief who judges is assigned like anybody else.
  const judging = chief.write("assigned", {
    judge: "chief" as PersonId,
    section: blocks,
    candidates: [one, two, three],
  });
  const marked = ["judge-1", "chief"].flatMap((judge) => {
    const hand = { person: judge as PersonId, pen: aPen(judge, earlier(judge), grading) };
    hand.pen.hear(50);
    return theRestNotSeen(hand, blocks, [one, two, three], [...plan, judging]);
  });
  const more = [judging, anAnchor(chief, rubric), ...marked, ...before(grading)];
  await store.append(grading, [...plan, ...more]);
  await hub.desk.makeGrading(chiefToken, grading, "laptop" as DeviceId);
  const as = { name: person, person: person as PersonId, roles: roles as [Role, ...Role[]] };
  const { token } = await hub.desk.letIn(grading, device, as);
  const tablet = await ATablet.join(address, { token, grading, device });
  await tablet.until(() => tablet.isClosed || tablet.frames("welcome").length > 0, "a welcome");
  const pen = aPen(person, device, grading);
  pen.hear(1000);
  const aText = (about: CandidateId | PersonId) =>
    makeSideRecord({ grading, about, kind: "text", body: { text: "Invented." } }, chance);
  return { grading, pen, tablet, text: aText(one), own: aText(person as PersonId), known: more };
}
/** What becomes of these: `taken`, or the code of the refusal, one each. */
async function outcomes(
  { tablet, text, own }: AtWork,
  entries: readonly AnyEntry[],
): Promise<string[]> {
  tablet.say({ frame: "append", entries: [...entries], sides: [text.record, own.record] });
  const answered = () =>
    new Map([...tablet.acknowledged.map((id) => [id, "taken"] as const), ...tablet.refused]);
  await tablet.until(
    () => tablet.isClosed || entries.every(({ id }) => answered().has(id)),
    "answers",
  );
  return entries.map(({ id }) => answered().get(id) ?? "no answer");
}

const hands: [string, string, readonly Role[]][] = [
  ["a judge", "judge-1", ["judge"]],
  ["the caller", "caller", ["caller"]],
  ["the desk", "desk", ["desk"]],
  ["the chief", "chief", ["chief"]],
  ["a judge who calls", "judge-1", ["judge", "caller"]],
  ["a chief who judges", "chief", ["chief", "judge"]],
  ["a caller at the desk", "caller", ["caller", "desk"]],
  ["everything at once", "chief", ["judge", "caller", "desk", "chief"]],
];

describe("who may write what", () => {
  it("[H30] asks about every kind there is", () => {
    expect(Object.keys(written).sort()).toEqual([...entryKinds].sort());
  });

  it.each(hands)(
    "[H30] %s writes what the table says, and nothing else",
    async (_, person, roles) => {
      const work = await atWork(person, roles);
      const body = bodies(digestOf(work.text), digestOf(work.own), work.known[0]?.id as EntryId);
      const kinds = Object.keys(body) as EntryKind[];
      const found = await outcomes(
        work,
        kinds.map((kind) =>
          kind === "locked" ? acts.lock(work, one) : work.pen.write(kind, body[kind] as never),
        ),
      );
      const table = kinds.map((kind, at) => `${kind}: ${found[at]}`);
      expect(table).toEqual(
        kinds.map((kind) => {
          if (!may(kind, roles)) return `${kind}: ROLE_MISSING`;
          // A judge is told when every sheet is released; here none is owed yet to two of the three.
          if (kind === "judge-told") return `${kind}: NOT_RELEASED`;
          // No hub had written it, or shut it away.
          if (kind === "held" || kind === "held-sealed" || kind === "held-at-giving")
            return `${kind}: HELD_ALREADY`;
          // Nobody asked for it.
          return `${kind}: ${kind === "answered" ? "REQUEST_OTHER" : "taken"}`;
        }),
      );
    },
  );

  it("[H30] refuses nobody admitted a stop, an incident and a withdrawal, in any state of the test", async () => {
    for (const [, person, roles] of [
      ...hands,
      ["", "nobody-seated", ["judge"]] as (typeof hands)[number],
    ]) {
      const work = await atWork(person, roles, (grading) => {
        const chief = aPen("chief", "closer", grading);
        chief.hear(500);
        return [chief.write("closed", {})];
      });
      const found = await outcomes(work, [
        work.pen.write("stopped", { wave: null }),
        work.pen.write("incident", { text: digestOf(work.text) }),
        work.pen.write("withdrawn", { candidate: two, why: "hurt" }),
      ]);
      expect([person, ...found]).toEqual([person, "taken", "taken", "taken"]);
    }
  });
});

/** What a judge does, and what it is called in the tables below. */
const acts = {
  mark: ({ pen }, candidate) => aMark(pen, { candidate }),
  overall: ({ pen }, candidate) =>
    pen.write("overall", { candidate, section: blocks, judgement: 2 }),
  faults: ({ pen }, candidate) =>
    pen.write("faults", { candidate, ...place, criterion: anId("chamber"), faults: [] }),
  note: ({ pen }, candidate, text) => pen.write("note", { candidate, ...place, text }),
  lock: ({ pen, known }, candidate) => {
    const lock = pen.write("locked", { section: blocks, candidates: [candidate], basis: {} });
    // Also of what the same judge marked before, on another tablet.
    const before = basisFor(basisOfPerson(known, lock.by), [{ candidate, section: blocks }]);
    return { ...lock, body: { ...lock.body, basis: { ...before, ...lock.body.basis } } };
  },
} satisfies Record<
  string,
  (work: Pick<AtWork, "pen" | "known">, candidate: CandidateId, text: never) => AnyEntry
>;
const locks = (grading: GradingId, who: readonly string[]): AnyEntry[] =>
  who.map((person) => {
    const pen = aPen(person, `${person}-earlier`, grading);
    pen.hear(100);
    return pen.write("locked", { section: blocks, candidates: [one, two, three], basis });
  });
const byChief = (grading: GradingId, write: (pen: Pen) => AnyEntry): AnyEntry[] => {
  const pen = aPen("chief", "chief-earlier", grading);
  pen.hear(200);
  return [write(pen)];
};
const everybody = ["judge-1", "judge-2", "judge-3", "chief"];

/** Each line: a state of the test, and what a judge's five acts come to in it, in the order of `acts`. By hand. */
const states: [string, (grading: GradingId) => AnyEntry[], string[]][] = [
  ["before anybody locks", () => [], ["taken", "taken", "taken", "taken", "taken"]],
  [
    "after the judge locked, before the others have",
    (grading) => locks(grading, ["judge-1"]),
    // A mark, a judgement and what was seen to go wrong are final: the sheet says all three. A note changes nothing that anybody is told.
    ["ALREADY_LOCKED", "ALREADY_LOCKED", "ALREADY_LOCKED", "taken", "ALREADY_LOCKED"],
  ],
  [
    "after everybody locked: marks are open, what comes now is late, and a second lock is none",
    (grading) => locks(grading, everybody),
    ["taken", "taken", "taken", "taken", "ALREADY_LOCKED"],
  ],
  [
    "after the chief opened the marks of a judge who is gone",
    (grading) => [
      ...locks(grading, ["judge-1", "judge-2"]),
      ...byChief(grading, (pen) =>
        pen.write("revealed", {
          section: blocks,
          candidates: [one],
          reason: aTextRef("r"),
        }),
      ),
    ],
    ["taken", "taken", "taken", "taken", "ALREADY_LOCKED"],
  ],
  [
    "after the closing",
    (grading) => byChief(grading, (pen) => pen.write("closed", {})),
    ["GRADING_CLOSED", "GRADING_CLOSED", "GRADING_CLOSED", "GRADING_CLOSED", "GRADING_CLOSED"],
  ],
  [
    "after the judge stepped back from this candidate",
    (grading) => {
      const pen = aPen("judge-1", "judge-1-earlier", grading);
      pen.hear(100);
      return [pen.write("recused", { candidate: one, section: null })];
    },
    ["RECUSED", "RECUSED", "RECUSED", "RECUSED", "RECUSED"],
  ],
];

describe("a judge's own hand, and no other", () => {
  it.each(states)("[H30] %s", async (_, before, wanted) => {
    const work = await atWork("judge-1", ["judge"], before);
    const entries = Object.values(acts).map((act) => act(work, one, digestOf(work.text)));
    expect(await outcomes(work, entries)).toEqual(wanted);
  });

  it.each(Object.keys(acts))(
    "[H30] %s: not for a candidate who is not assigned, not by another, not on another's tablet",
    async (name) => {
      const act = acts[name as keyof typeof acts];
      const work = await atWork("judge-1", ["judge"]);
      const text = digestOf(work.text);
      const asAnother = { ...act(work, one, text), by: "judge-2" as PersonId };
      const onAnother = { ...act(work, one, text), device: "judge-2-tablet" as DeviceId };
      const elsewhere = { ...act(work, one, text), grading: "grading-1" as GradingId };
      const unknown = act(work, "candidate-99" as CandidateId, text);
      expect(await outcomes(work, [asAnother, onAnother, elsewhere, unknown])).toEqual([
        "NOT_YOURS",
        // The count of one's own tablet has a hole where another's name stood.
        "NOT_YOURS",
        "GRADING_OTHER",
        expect.stringMatching(/^(CANDIDATE_UNKNOWN|N_GAP)$/),
      ]);
      const unseated = await atWork("judge-7", ["judge"]);
      expect(await outcomes(unseated, [act(unseated, one, digestOf(unseated.text))])).toEqual([
        "NOT_ASSIGNED",
      ]);
      const ofEtiquette = await atWork("chief", ["chief", "judge"]);
      const mark = aMark(ofEtiquette.pen, {
        section: "etiquette",
        item: "bows-in",
        side: null,
        criterion: "done",
        level: 1,
      });
      expect(await outcomes(ofEtiquette, [mark])).toEqual(["NOT_ASSIGNED"]);
    },
  );

  it("[H30] a chief who holds no judge's role marks nothing, also where the plan assigns it", async () => {
    const work = await atWork("chief", ["chief"]);
    expect(await outcomes(work, [aMark(work.pen)])).toEqual(["ROLE_MISSING"]);
  });

  it("[H30] a verdict against what was computed, or after the closing, needs its reason", async () => {
    const work = await atWork("chief", ["chief"]);
    const verdict = (result: "pass" | "retest", reason?: never) =>
      work.pen.write("verdict", {
        candidate: one,
        result,
        retestSections: [],
        computed: "pass",
        basis,
        ...(reason ? { reason } : {}),
      });
    const text = digestOf(work.text);
    const entries = [
      verdict("retest"),
      verdict("retest", text),
      work.pen.write("closed", {}),
      verdict("pass"),
      verdict("pass", text),
      work.pen.write("remark-asked", {
        judge: "judge-2" as PersonId,
        candidate: one,
        ...place,
        criterion: null,
        ask: "talk",
      }),
    ];
    expect(await outcomes(work, entries)).toEqual([
      "REASON_MISSING",
      "taken",
      "taken",
      "REASON_MISSING",
      "taken",
      "GRADING_CLOSED",
    ]);
  });
});

describe("whoever is not in", () => {
  it.each(["waiting", "refused", "revoked", "stranger"] as const)(
    "[H30] %s: is told so, hears nothing and writes nothing",
    async (state) => {
      const work = await atWork("judge-1", ["judge"]);
      const device = `outside-${state}` as DeviceId;
      const code = await hub.desk.code(work.grading);
      let token = "x".repeat(43);
      if (state !== "stranger") {
        ({ token } = await hub.desk.join({
          code,
          device,
          name: "Outside",
          wants: "judge",
          address: "10.0.0.9",
        }));
        if (state === "refused") await hub.desk.refuse(work.grading, device);
        if (state === "revoked") {
          await hub.desk.admit(work.grading, device, {
            roles: ["judge"],
            person: "judge-2" as PersonId,
          });
          await hub.desk.revoke(work.grading, device);
        }
      }
      const tablet = await ATablet.join(address, { token, grading: work.grading, device });
      const pen = aPen("judge-2", device, work.grading);
      tablet.append(aMark(pen), pen.write("stopped", { wave: null }));
      await tablet.until(() => tablet.isClosed);
      expect(tablet.frames("bye").map(({ fault }) => fault.code)).toEqual([
        state === "stranger" ? "TOKEN_WRONG" : "NOT_ADMITTED",
      ]);
      expect([tablet.acknowledged, tablet.frames("welcome"), tablet.entries]).toEqual([[], [], []]);
      const kept = (await store.read(work.grading, 0)).filter(
        ({ entry }) => entry.device === device,
      );
      expect(kept).toEqual([]);
    },
  );
});
