import { copyFileSync, readdirSync, rmSync } from "node:fs";
import { join } from "node:path";
import { afterEach, beforeEach, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../src/belt-test/identity.ts";
import { heldFirst } from "../../src/belt-test/scorebook/held-first.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { backUp } from "../../src/hub/store/backup.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { noLostPlans } from "../../src/hub/test-room/lost-plan.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { owedAgain } from "../../src/line/owed-again.ts";
import { platformClock } from "../../src/ports/clock.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { aBox } from "../builders/a-box.ts";
import { AHub } from "../builders/a-hub.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import type { ATablet } from "../builders/a-tablet.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { anId } from "../builders/an-id.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

const blocks = "blocks" as SectionId;
const mia = "candidate-1" as CandidateId;

let hub: AHub;
beforeEach(async () => {
  hub = await AHub.start();
});
afterEach(() => hub.end());

const sent = async (tablet: ATablet, ...entries: Parameters<ATablet["append"]>) => {
  tablet.append(...entries);
  await tablet.until(() => entries.every(({ id }) => tablet.acknowledged.includes(id)), "it");
};
const placeOf = (tablet: ATablet) => ({
  feed: tablet.frames("welcome")[0]?.feed ?? "",
  cursor: tablet.frames("entries").at(-1)?.cursor ?? 0,
  link: tablet.frames("entries").at(-1)?.link ?? "",
});

it("[H167] put back from a copy of before a judge was added, it opens no marks before the chief's tablet has come", async () => {
  const day = aTestDay({ judges: 1, candidates: 1 });
  const [judge] = day.judges;
  if (!judge) throw new Error("a judge");
  const third = { person: "judge-9" as PersonId, pen: aPen("judge-9") };
  const chief = await hub.tablet("chief", ["chief"]);
  await sent(chief, ...day.plan);
  await hub.tablet("judge-1", ["judge"]);
  await hub.tablet("judge-9", ["judge"]);
  await hub.stop();
  const kept = readdirSync(hub.folder).filter((name) => name.startsWith("evenhand.sqlite"));
  for (const name of kept) copyFileSync(join(hub.folder, name), join(hub.folder, `old-${name}`));
  await hub.startAgain();
  const chiefAgain = await hub.tablet("chief", ["chief"]);
  const added = [
    day.chief.write("seated", { person: third.person, roles: ["judge"] }),
    day.chief.write("assigned", { judge: third.person, section: blocks, candidates: [mia] }),
  ] as AnyEntry[];
  await sent(chiefAgain, ...added);
  const plan = [...day.plan, ...added] as AnyEntry[];
  const words = [judge, third].map((one) => {
    one.pen.hear(200);
    return aLock(one, blocks, [mia], plan);
  });
  const tablets = [await hub.tablet("judge-1", ["judge"]), await hub.tablet("judge-9", ["judge"])];
  for (const [at, tablet] of tablets.entries()) {
    await tablet.until(() => tablet.entries.length >= plan.length, "the plan");
    await sent(tablet, ...(words[at] as AnyEntry[]));
  }
  await tablets[0]?.settled();
  const places = tablets.map(placeOf);
  await hub.stop();
  for (const name of readdirSync(hub.folder))
    if (name.startsWith("evenhand.sqlite")) rmSync(join(hub.folder, name));
  for (const name of kept) copyFileSync(join(hub.folder, `old-${name}`), join(hub.folder, name));
  await hub.startAgain();

  // The judges' tablets come back before the chief's.
  const back = await Promise.all(
    ["judge-1", "judge-9"].map((person, at) => hub.tablet(person, ["judge"], places[at])),
  );
  const stop = judge.pen.write("stopped", { wave: null });
  for (const [at, tablet] of back.entries()) {
    tablet.append(...(words[at] as AnyEntry[]));
    await tablet.until(() => tablet.refused.length > 0, "an answer");
    expect(tablet.acknowledged).toEqual([]);
    expect(tablet.refused[0]?.[1]).toBe("LAMPORT_TOO_HIGH");
  }
  // What nobody may be kept waiting for waits for nobody.
  await sent(back[0] as ATablet, stop as AnyEntry);
  // They have taken up the shorter book; whoever starts the hub anew meanwhile changes nothing of it.
  const now = back.map(placeOf);
  await hub.stop();
  await hub.startAgain();
  const after = await Promise.all(
    ["judge-1", "judge-9"].map((person, at) => hub.tablet(person, ["judge"], now[at])),
  );
  for (const [at, tablet] of after.entries()) {
    tablet.append(...(words[at] as AnyEntry[]));
    await tablet.until(() => tablet.refused.length > 0, "an answer");
    expect(tablet.refused[0]?.[1]).toBe("LAMPORT_TOO_HIGH");
  }
  const last = await hub.tablet("chief", ["chief"]);
  last.append(...added);
  last.say({ frame: "holding", unsent: added.length });
  await last.until(() => added.every(({ id }) => last.acknowledged.includes(id)), "the plan");
  for (const [at, tablet] of after.entries()) await sent(tablet, ...(words[at] as AnyEntry[]));
  const { book } = await hub.rooms.room(anId("grading-1"));
  expect(book.openings.isRevealed(mia, blocks)).toBe(true);
  const counted = new Set(book.marks.of(mia, "verdict").map((one) => one.judge));
  expect([...counted].sort()).toEqual([judge.person, third.person]);
  await hub.stop();
  await hub.startAgain();
  const later = await hub.tablet("judge-1", ["judge"]);
  await sent(later, judge.pen.write("related", { candidate: mia, relation: "other" }) as AnyEntry);
});

it("[H179] waits for no chief because somebody says to have read further than there is", async () => {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const chief = await hub.tablet("chief", ["chief"]);
  await sent(chief, ...day.plan);
  const liar = await hub.tablet("judge-1", ["judge"]);
  await liar.until(() => liar.entries.length >= day.plan.length, "the plan");
  const { feed, cursor, link } = placeOf(liar);
  await hub.stop();
  await hub.startAgain();
  const lies = [
    { feed, cursor: 999_999 },
    { feed, cursor: 999_999, link },
    { feed, cursor: cursor + 5, link },
    { feed, cursor, link: "0".repeat(16) },
    { feed, cursor, link: `${"0".repeat(16)}${link.slice(16)}` },
  ];
  for (const lie of lies) {
    const told = await hub.tablet("judge-1", ["judge"], lie);
    expect(told.frames("welcome")[0]?.putBack).toBeUndefined();
  }
  const other = await hub.tablet("judge-2", ["judge"]);
  const [, honest] = day.judges;
  await sent(other, aMark(honest?.pen ?? aPen("judge-2")) as AnyEntry);
});

it.each(["revealed", "judge-replaced", "closed"] as const)(
  "[H173] begun from a copy, it takes no opening (%s) that the lost one never had, before the locks that the copy lacks, and takes it when it is said anew",
  async (kind) => {
    const day = aTestDay({ judges: 2, candidates: 1 });
    const [one, other] = day.judges;
    if (!one || !other) throw new Error("two judges");
    const chief = await hub.tablet("chief", ["chief"]);
    const plan = [
      ...day.plan,
      day.chief.write("seated", { person: "spare" as PersonId, roles: ["judge"] }),
    ] as AnyEntry[];
    await sent(chief, ...plan);
    const tablets = [
      await hub.tablet("judge-1", ["judge"]),
      await hub.tablet("judge-2", ["judge"]),
    ];
    for (const pen of [one.pen, other.pen, day.chief]) pen.hear(100);
    await sent(tablets[0] as ATablet, ...(aLock(one, blocks, [mia], plan) as AnyEntry[]));
    const [first, ...rest] = aLock(other, blocks, [mia], plan) as AnyEntry[];
    await sent(tablets[1] as ATablet, first as AnyEntry);
    const copy = join(hub.folder, "a-copy.sqlite");
    backUp(join(hub.folder, "evenhand.sqlite"), copy);
    // The lost hub has it all; the chief hears nothing of it any more.
    await sent(tablets[1] as ATablet, ...rest);
    expect((await hub.rooms.room(aGradingId)).book.openings.isRevealed(mia, blocks)).toBe(true);
    await hub.stop();
    for (const name of readdirSync(hub.folder))
      if (name.startsWith("evenhand.sqlite")) rmSync(join(hub.folder, name));
    copyFileSync(copy, join(hub.folder, "evenhand.sqlite"));
    await hub.startAgain();

    const { record, ref } = makeSideRecord(
      { grading: aGradingId, about: mia, kind: "text", body: { text: "The tablet is flat." } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const write = (): AnyEntry =>
      (kind === "revealed"
        ? day.chief.write(kind, { section: blocks, candidates: [mia], reason: ref })
        : kind === "closed"
          ? day.chief.write(kind, { basis: {} })
          : day.chief.write(kind, { judge: other.person, by: "spare" as PersonId })) as AnyEntry;
    const alone = write();
    const say = (tablet: ATablet, entry: AnyEntry) =>
      tablet.say({ frame: "append", entries: [entry], sides: [record] });
    const chiefAgain = await hub.tablet("chief", ["chief"]);
    say(chiefAgain, alone);
    chiefAgain.say({ frame: "holding", unsent: 1 });
    await chiefAgain.until(() => chiefAgain.refused.length > 0, "an answer");
    expect(chiefAgain.refused).toEqual([[alone.id, "HUB_PUT_BACK"]]);
    const back = await hub.tablet("judge-2", ["judge"]);
    await sent(back, first as AnyEntry, ...rest);
    const { book } = await hub.rooms.room(aGradingId);
    expect(book.openings.hasLockThatCounts(other.person, mia, blocks)).toBe(true);
    expect(book.marks.late(mia)).toEqual([]);
    // It stays so; said anew it is taken, and changes nothing of what stood.
    say(chiefAgain, alone);
    await chiefAgain.until(() => chiefAgain.refused.length > 1, "an answer");
    const anew = write();
    say(chiefAgain, anew);
    await chiefAgain.until(() => chiefAgain.acknowledged.includes(anew.id), "the opening");
    expect(book.openings.hasLockThatCounts(other.person, mia, blocks)).toBe(true);
  },
);

it("[H173] takes a replacement that the lost hub had, also where there was nothing to hold of the judge", async () => {
  const day = aTestDay({ judges: 2, candidates: 1 });
  const [one] = day.judges;
  const box = aBox();
  const open = (store: ScorebookStore, isLost: boolean) =>
    GradingRoom.open(aGradingId, store, "hub", {
      box,
      lostPlans: { ...noLostPlans, isLost: async () => isLost },
    });
  const chief = {
    person: "chief" as PersonId,
    roles: ["chief"] as const,
    device: day.chief.device,
  };
  const judge = {
    person: one?.person as PersonId,
    roles: ["judge"] as const,
    device: one?.pen.device as DeviceId,
  };
  const lost = openMemoryScorebook();
  const before = await open(lost, false);
  await before.handIn(chief, day.plan);
  const copy = openMemoryScorebook();
  await copy.append(
    aGradingId,
    (await lost.read(aGradingId, 0)).map(({ entry }) => entry),
  );
  const back = one?.pen.write("recused", { candidate: mia, section: null });
  expect((await before.handIn(judge, [back])).refused).toEqual([]);
  day.chief.hear(before.book.lamport);
  const given = day.chief.write("judge-replaced", {
    judge: judge.person,
    by: day.judges[1]?.person as PersonId,
  });
  expect((await before.handIn(chief, [given])).refused).toEqual([]);
  const known = before
    .feed(chief)
    .after(0)
    .map(({ entry }) => entry);
  const after = await open(copy, true);
  const owed = owedAgain(known, day.chief.device, after.holds(day.chief.device));
  expect((await after.handIn(chief, heldFirst(owed))).refused).toEqual([]);
  expect(after.book.entry(given.id)).toBeDefined();
});

it("[H209] a chief's tablet that knows nothing of what is lost ends no wait for another chief's, whichever comes first", async () => {
  for (const isFirst of [true, false]) {
    const day = aTestDay({ judges: 1, candidates: 1 });
    const second = "chief-2" as PersonId;
    const seat = day.chief.write("seated", { person: second, roles: ["chief"] });
    const store = openMemoryScorebook();
    await store.append(aGradingId, [...day.plan, seat]);
    const due: number[] = [];
    const clock = {
      ...platformClock,
      after: (ms: number, work: () => void) => {
        if (ms < 1_000) return platformClock.after(ms, work);
        due.push(ms);
        return () => undefined;
      },
    };
    const room = await GradingRoom.open(aGradingId, store, "hub", { clock });
    const comes = (person: PersonId | undefined) =>
      room.hasCome({
        ...{ device: "a-tablet" as DeviceId, isChief: true, isNew: false },
        ...(person && { behind: { person, alsoIn: [] } }),
      });
    const chief = { person: "chief" as PersonId, roles: ["chief" as const] };
    const beyond = { feed: room.feedId(chief), cursor: 999, link: "lost" };
    if (isFirst) await comes(second);
    await room.lookForLost(chief, beyond);
    if (!isFirst) await comes(second);
    const { pen, person } = day.judges[0] as (typeof day.judges)[number];
    pen.hear(day.plan.length);
    const judge = { person, roles: ["judge"] as const, device: pen.device };
    const told = async () => (await room.handIn(judge, [aMark(pen)])).refused[0]?.fault.code;
    expect([isFirst, await told()]).toEqual([isFirst, "LAMPORT_TOO_HIGH"]);
    expect(due).toEqual([120_000]);
    await comes(undefined);
    expect(await told()).not.toBe("LAMPORT_TOO_HIGH");
  }
});

it.each([
  ["there is no other chief, and no other tablet of theirs", [], []],
  ["their other tablet has come too", ["other"], ["other"]],
  ["their other tablet is still to come", ["other"], []],
])(
  "[H209] a chief's tablet that knows nothing of what is lost, where %s",
  async (_, alsoIn, come) => {
    const day = aTestDay({ judges: 1, candidates: 1 });
    const store = openMemoryScorebook();
    await store.append(aGradingId, day.plan);
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const chief = { person: "chief" as PersonId, roles: ["chief" as const] };
    await room.lookForLost(chief, { feed: room.feedId(chief), cursor: 999, link: "lost" });
    const { pen, person } = day.judges[0] as (typeof day.judges)[number];
    pen.hear(day.plan.length);
    const judge = { person, roles: ["judge"] as const, device: pen.device };
    const mark = aMark(pen);
    const told = async () => (await room.handIn(judge, [mark])).refused[0]?.fault.code;
    expect(await told()).toBe("LAMPORT_TOO_HIGH");
    const tablets = ["a-tablet", ...alsoIn] as DeviceId[];
    for (const device of [...come, "a-tablet"] as DeviceId[])
      await room.hasCome({
        ...{ device, isChief: true, isNew: false },
        behind: { person: chief.person, alsoIn: tablets.filter((other) => other !== device) },
      });
    const isWaiting = (await told()) === "LAMPORT_TOO_HIGH";
    expect(isWaiting).toBe(alsoIn.length > come.length);
  },
);

it("[H174] a chief's device with nothing on it ends the wait after two minutes", async () => {
  const day = aTestDay({ judges: 1, candidates: 1 });
  const store = openMemoryScorebook();
  await store.append(aGradingId, day.plan);
  const due: { ms: number; work: () => void }[] = [];
  const clock = {
    ...platformClock,
    after: (ms: number, work: () => void) => {
      if (ms < 1_000) return platformClock.after(ms, work);
      due.push({ ms, work });
      return () => undefined;
    },
  };
  const lostPlans = { ...noLostPlans, isLost: async () => true };
  const room = await GradingRoom.open(aGradingId, store, "hub", { clock, lostPlans });
  const [one] = day.judges;
  const { pen, person } = one as NonNullable<typeof one>;
  const judge = { person, roles: ["judge"] as const, device: pen.device };
  const told = () => room.handIn(judge, [aMark(pen)]).then(({ refused }) => refused[0]?.fault.code);
  expect(await told()).toBe("LAMPORT_TOO_HIGH");
  await room.hasCome({ device: "new" as DeviceId, isChief: true, isNew: true });
  expect(room.isPutBackFor("new" as DeviceId)).toBe(false);
  expect(room.isPutBackFor(pen.device)).toBe(true);
  expect(await told()).toBe("N_GAP");
  expect(due.map(({ ms }) => ms)).toEqual([120_000]);
  due[0]?.work();
  // Where nothing is lost nobody waits, and no hub stays for it.
  await room.hasCome({ device: "newer" as DeviceId, isChief: true, isNew: true });
  expect(due).toHaveLength(1);
  const other = { ...judge, device: "judge-1-second" as DeviceId };
  const second = aPen(person, "judge-1-second");
  second.hear(day.plan.length);
  expect((await room.handIn(other, [aMark(second)])).refused).toEqual([]);
});
