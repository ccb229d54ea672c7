import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { CHILDREN, RawDay } from "./a-raw-day.ts";
import { RawTablet } from "./a-raw-tablet.ts";

const [MIA = "", BEN = ""] = CHILDREN;

let day: RawDay;
let liar: RawTablet;
let honest: RawTablet;
beforeAll(async () => {
  const begun = await RawDay.begin(["liar", "honest"]);
  day = begun.day;
  [liar, honest] = begun.judges as [RawTablet, RawTablet];
}, 60_000);
afterAll(() => day.end());

/** The line of somebody who only works, through whatever the others send: open, and acknowledged. */
async function expectTheHonestAreHeard(): Promise<void> {
  expect(await honest.handIn(honest.mark(BEN, 3))).toEqual([undefined]);
  expect(honest.isOpen).toBe(true);
}

describe("a client that shares no code with the hub", () => {
  it("[H90] writes at no place of its count that is taken, skipped or none", async () => {
    const first = liar.mark(MIA, 2);
    expect(await liar.handIn(first)).toEqual([undefined]);
    const { n } = first;
    const forged = [
      liar.mark(MIA, 3, { n }),
      liar.mark(MIA, 3, { n: n + 50 }),
      { ...liar.mark(MIA, 4), id: first.id, n: n + 1 },
    ];
    expect(await liar.handIn(...forged.slice(0, 2))).toEqual(["N_REUSED", "N_GAP"]);
    liar.append(forged[2] ?? {});
    await liar.until(
      () =>
        liar.frames("refuse").some(({ fault }) => (fault as { code: string }).code === "ID_REUSED"),
      "the id's refusal",
    );
    const none = [0, -1, 1.5, 2 ** 53, "7", null].map((odd) =>
      liar.mark(MIA, 3, { n: odd as number }),
    );
    expect(await liar.handIn(...none)).toEqual(none.map(() => "ENTRY_MALFORMED"));
    // The same entry again is no news.
    expect(await liar.handIn(first)).toEqual([undefined]);
    liar.n = n;
    await expectTheHonestAreHeard();
  });

  it("[H90] carries the logical time of nobody away", async () => {
    const { n } = liar;
    const times = [2 ** 48 - 1, liar.lamport + 10_500];
    for (const lamport of times)
      expect(await liar.handIn(liar.mark(MIA, 3, { lamport, n: n + 1 }))).toEqual([
        "LAMPORT_TOO_HIGH",
      ]);
    const none = [0, -5, 1.5, 2 ** 60, "9"].map((lamport) =>
      liar.mark(MIA, 3, { lamport: lamport as number, n: n + 1 }),
    );
    expect(await liar.handIn(...none)).toEqual(none.map(() => "ENTRY_MALFORMED"));
    liar.n = n + 1;
    expect(await day.chief.handIn(day.chief.write("stopped", { wave: null }))).toEqual([undefined]);
    expect(await day.chief.handIn(day.chief.write("floor-cleared", {}))).toEqual([undefined]);
    await expectTheHonestAreHeard();
  });

  it("[H90] writes in no other name, on no other device, in no other test", async () => {
    const { n } = liar;
    const forged = [
      { by: honest.who.person },
      { by: day.chief.who.person },
      { device: honest.who.device, n: 500 },
      { device: "chief-laptop", n: day.chief.n + 1 },
      { grading: "another-test" },
      { by: honest.who.person, device: honest.who.device, n: honest.n + 1 },
    ].map((more) => liar.mark(MIA, 1, { n: n + 1, ...more }));
    const answers = await liar.handIn(...forged);
    for (const answer of answers) expect(["NOT_YOURS", "GRADING_OTHER"]).toContain(answer);
    liar.n = n;
    const own = liar.mark(MIA, 2);
    expect(["N_REUSED", undefined]).toContain((await liar.handIn(own))[0]);
    await expectTheHonestAreHeard();
    expect(await day.chief.handIn(day.chief.write("checked-in", { candidate: MIA }))).toEqual([
      undefined,
    ]);
  });

  it("[H90] writes nothing that its role may not", async () => {
    const chiefs = [
      ["closed", {}],
      ["seated", { person: liar.who.person, roles: ["chief", "judge"] }],
      ["erased", { about: MIA }],
      ["assigned", { judge: liar.who.person, section: "blocks", candidates: [BEN] }],
      [
        "verdict",
        { candidate: MIA, result: "pass", retestSections: [], computed: "pass", basis: {} },
      ],
      [
        "revealed",
        { section: "blocks", candidates: [MIA], reason: { id: "r", digest: "0".repeat(64) } },
      ],
      ["sheet-released", { candidate: MIA }],
      ["called", { step: 0, repeat: false, wave: 1 }],
      ["entered", { candidate: "third", number: 9, rubric: "white-to-yellow" }],
    ] as const;
    const entries = chiefs.map(([kind, body]) => liar.write(kind, { ...body }));
    const answers = await liar.handIn(...entries);
    for (const answer of answers) expect(["ROLE_MISSING", "ENTRY_MALFORMED"]).toContain(answer);
    expect(answers.filter((answer) => answer === "ROLE_MISSING").length).toBeGreaterThanOrEqual(8);
    const odd = [
      liar.mark(MIA, 5),
      liar.mark(MIA, 3, {}, { item: "flying-kick" }),
      liar.mark("nobody", 3),
      liar.mark(MIA, 3, {}, { side: "left" }),
    ];
    for (const answer of await liar.handIn(...odd)) expect(answer).toMatch(/^[A-Z_]+$/);
    await expectTheHonestAreHeard();
  });

  it("[H91] reads no byte of another's mark before the reveal, whatever it says at the hello", async () => {
    const seen = [honest.mark(BEN, 1), honest.mark(BEN, 4)];
    expect(await honest.handIn(...seen)).toEqual([undefined, undefined]);
    await new Promise((done) => setTimeout(done, 300));
    for (const more of [
      { cursor: 1_000_000 },
      { cursor: 0, feed: "another" },
      { cursor: 3, link: "0".repeat(64) },
      { cursor: 0, roles: ["chief"], person: honest.who.person },
    ]) {
      const { person: _, ...pass } = liar.who;
      const again = await RawTablet.on(day.hub.line, pass, more);
      await again.until(() => again.entries.some(({ kind }) => kind === "started"), "the plan");
      for (const { id } of seen) expect(again.bytes.join()).not.toContain(id);
      expect(
        again.entries.some(({ by, kind }) => kind === "mark" && by === honest.who.person),
      ).toBe(false);
      again.hangUp();
    }
    for (const { id } of seen) expect(liar.bytes.join()).not.toContain(id);
    for (const { id } of seen) expect(day.chief.bytes.join()).not.toContain(id);
  });

  it("[H92] says nothing that ends another's line or the hub: no frame, broken, deep, fat or of no kind", async () => {
    const nonsense: (string | Buffer)[] = [
      "",
      "{",
      "null",
      "[]",
      "7",
      '{"frame":"append"}',
      '{"frame":"append","entries":[null,7,"x",[],{}]}',
      '{"frame":"append","entries":{"length":5}}',
      '{"frame":"__proto__"}',
      '{"frame":"hello","protocol":1}',
      `{"frame":"append","entries":[${"[".repeat(20_000)}${"]".repeat(20_000)}]}`,
      Buffer.from([0, 255, 254, 1]),
      `{"frame":"append","entries":["${"a".repeat(600_000)}"]}`,
    ];
    const { person: _, ...pass } = liar.who;
    for (const text of nonsense) {
      const line = await RawTablet.on(day.hub.line, pass);
      line.sayText(text);
      await new Promise((done) => setTimeout(done, 60));
      line.hangUp();
    }
    await expectTheHonestAreHeard();
    expect((await day.hub.ask("GET", "/health")).json.status).toBe("ok");
  }, 30_000);

  it("[H92] leaves a made-up kind where it harms nobody", async () => {
    const { n } = liar;
    const made = ["constructor", "to-string", "reveal-all", "marks"].map((kind) =>
      liar.write(kind, {
        candidate: MIA,
        roles: ["chief"],
        __proto__: null,
        constructor: { name: 1 },
      }),
    );
    for (const answer of await liar.handIn(...made))
      expect([undefined, "N_GAP", "ENTRY_MALFORMED"]).toContain(answer);
    const none = ["__proto__", "", "A", "x".repeat(90), "a b"].map((kind) => liar.write(kind, {}));
    for (const answer of await liar.handIn(...none)) expect(answer).toMatch(/^[A-Z_]+$/);
    expect(liar.n).toBeGreaterThan(n);
    await expectTheHonestAreHeard();
    const { candidates } = await day.report();
    expect(candidates.map(({ candidate }) => candidate).sort()).toEqual([...CHILDREN].sort());
  }, 30_000);
});
