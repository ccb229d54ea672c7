import { describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../../src/belt-test/identity.ts";
import { type Fault, FaultError } from "../../../src/book/faults.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { GradingRoom, type GradingRoomSettings } from "../../../src/hub/test-room/grading-room.ts";
import { makeSideRecord, sideDigest } from "../../../src/line/make-side-record.ts";
import { type Clock, platformClock } from "../../../src/ports/clock.ts";
import type { ScorebookStore } from "../../../src/ports/scorebook-store.ts";
import { aLock } from "../../builders/a-lock.ts";
import { aGradingId, revouched } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const chief = { person: "chief" as PersonId, roles: ["chief"] as const };
const onDevice = (person: string) => ({ device: `${person}-tablet` as DeviceId });
const hand = ({ person }: { person: PersonId }) => ({
  person,
  roles: ["judge"] as const,
  ...onDevice(person),
});

/** A store whose disk can be full. */
function fickle(): ScorebookStore & { isFull: boolean } {
  const store = openMemoryScorebook();
  return Object.assign(
    { ...store },
    {
      isFull: false,
      async append(...given: Parameters<ScorebookStore["append"]>) {
        if ((this as { isFull: boolean }).isFull) throw new FaultError({ code: "STORE_FULL" });
        return store.append(...given);
      },
    },
  );
}

describe("a grading open at the hub", () => {
  it("[Y9] shows nobody what the disk refused, and takes the same entries when it has room again", async () => {
    const store = fickle();
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const day = aTestDay({ judges: 1 });
    const author = { ...chief, ...onDevice("chief") };
    await room.handIn(author, day.plan);
    const judge = day.judges[0];
    if (!judge) throw new Error("a judge");
    const writer = { person: judge.person, roles: ["judge"] as const, ...onDevice("judge-1") };
    const mark = aMark(judge.pen);
    store.isFull = true;
    await expect(room.handIn(writer, [mark])).rejects.toThrow(/STORE_FULL/);
    expect(room.feed(writer).length).toBe(day.plan.length);
    expect(room.coverage().work).toEqual([]);
    store.isFull = false;
    expect(await room.handIn(writer, [mark])).toEqual({ kept: [mark.id], refused: [] });
    expect(room.coverage().work.length).toBe(1);
  });

  it("[H196] waits for no place again that it had refused, when the disk refuses what others bring; for what was only hoped for it does", async () => {
    const store = fickle();
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const day = aTestDay({ judges: 2 });
    await room.handIn({ ...chief, ...onDevice("chief") }, day.plan);
    const [one, two] = day.judges as [(typeof day.judges)[0], (typeof day.judges)[0]];
    const nowhere = () => aMark(one.pen, { criterion: "nowhere" });
    const codes = async (...given: Parameters<GradingRoom["handIn"]>) =>
      (await room.handIn(...given)).refused.map(({ fault }) => fault.code);
    expect(await codes(hand(one), [aMark(one.pen), nowhere()])).toEqual(["CRITERION_NOT_ASKED"]);
    store.isFull = true;
    await expect(room.handIn(hand(two), [aMark(two.pen)])).rejects.toThrow(/STORE_FULL/);
    const [hoped, refused, next] = [aMark(one.pen), nowhere(), aMark(one.pen)];
    await expect(room.handIn(hand(one), [hoped, refused])).rejects.toThrow(/STORE_FULL/);
    store.isFull = false;
    expect(await codes(hand(one), [next])).toEqual(["N_GAP"]);
    expect(await codes(hand(one), [hoped])).toEqual([]);
    expect(await codes(hand(one), [refused, next])).toEqual(["CRITERION_NOT_ASKED"]);
  });

  it("[H191] what cannot even be decided leaves everybody else's lines of the same commit kept, and the same book on the disk", async () => {
    const store = openMemoryScorebook();
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const day = aTestDay({ judges: 2, candidates: 1 });
    await room.handIn({ ...chief, ...onDevice("chief") }, day.plan);
    const [one, two] = day.judges as [(typeof day.judges)[0], (typeof day.judges)[0]];
    const before = await store.read(aGradingId, 0);
    const mark = aMark(one.pen);
    const poison = {
      get by(): string {
        throw new RangeError("Maximum call stack size exceeded");
      },
    };
    const [kept, lost] = await Promise.allSettled([
      room.handIn(hand(one), [mark]),
      room.handIn(hand(two), [poison]),
    ]);
    expect(kept).toMatchObject({ value: { kept: [mark.id], refused: [] } });
    expect(lost.status).toBe("rejected");
    const written = (await store.read(aGradingId, before.length)).map(({ entry }) => entry.id);
    expect(written).toEqual([mark.id]);
    expect(room.book.entry(mark.id)).toBeDefined();
  });

  it("[H53] takes no more from a device than a hand writes, but a stop; and goes on with everybody else", async () => {
    const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub", {
      mostADevice: 3,
    });
    const day = aTestDay({ judges: 2, candidates: 1 });
    for (const entry of day.plan)
      await room.handIn({ ...chief, device: `${entry.n}` as DeviceId }, [
        revouched({ ...entry, device: `${entry.n}` as DeviceId, n: 1 }),
      ]);
    const [one, two] = day.judges as [(typeof day.judges)[0], (typeof day.judges)[0]];
    const marks = [1, 2, 3, 4].map((level) => aMark(one.pen, { level }));
    const { kept, refused } = await room.handIn(hand(one), marks);
    expect(kept).toEqual(marks.slice(0, 3).map(({ id }) => id));
    expect(refused).toEqual([
      { id: marks[3]?.id, fault: { code: "DEVICE_FULL", with: { most: 3 } } },
    ]);
    const stop = one.pen.write("stopped", { wave: null });
    expect((await room.handIn(hand(one), [stop])).refused).toEqual([]);
    expect((await room.handIn(hand(two), [aMark(two.pen)])).refused).toEqual([]);
  });

  it("[H53] takes a thousand incidents of a device, of whichever run of the hub, and a stop after them", async () => {
    const store = openMemoryScorebook();
    const day = aTestDay({ judges: 2, candidates: 1 });
    let room = await GradingRoom.open(aGradingId, store, "hub");
    await room.handIn({ ...chief, ...onDevice("chief") }, day.plan);
    const [one, two] = day.judges as [(typeof day.judges)[0], (typeof day.judges)[0]];
    const { ref: text } = makeSideRecord(
      { grading: aGradingId, about: one.person, kind: "text", body: { text: "It fell." } },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const incident = ({ pen }: typeof one) => pen.write("incident", { text });
    const most = Array.from({ length: 1_000 }, () => incident(one));
    expect((await room.handIn(hand(one), most)).refused).toEqual([]);
    for (const runs of [1, 2]) {
      const { refused } = await room.handIn(hand(one), [incident(one)]);
      expect(refused.map(({ fault }) => [fault.code, runs])).toEqual([["DEVICE_FULL", runs]]);
      room = await GradingRoom.open(aGradingId, store, "hub");
    }
    const stop = one.pen.write("stopped", { wave: null });
    expect((await room.handIn(hand(one), [stop])).refused).toEqual([]);
    expect((await room.handIn(hand(two), [incident(two)])).refused).toEqual([]);
  });

  it("[H16] answers who taps before who comes back with a whole day, and the whole day at once when all of it is kept", async () => {
    const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
    const day = aTestDay({ judges: 2 });
    await room.handIn({ ...chief, ...onDevice("chief") }, day.plan);
    const [one, two] = day.judges as [(typeof day.judges)[0], (typeof day.judges)[0]];
    const answered: string[] = [];
    const wholeDay = Array.from({ length: 170 }, (_, n) => aMark(one.pen, { level: 1 + (n % 4) }));
    const back = room.handIn(hand(one), wholeDay).then((answer) => {
      answered.push("the day");
      return answer;
    });
    const tap = room.handIn(hand(two), [aMark(two.pen)]).then(() => answered.push("the tap"));
    const { kept, refused } = await back;
    await tap;
    expect(answered).toEqual(["the tap", "the day"]);
    expect([kept, refused]).toEqual([wholeDay.map(({ id }) => id), []]);
  });

  it("[Y1] gives every viewer the same feed after it is read anew from the store", async () => {
    const store = openMemoryScorebook();
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const day = aTestDay();
    await room.handIn({ ...chief, ...onDevice("chief") }, day.plan);
    for (const { person, pen } of day.judges) {
      const writer = { person, roles: ["judge"] as const, ...onDevice(person) };
      const section = anId("blocks");
      const mark = aMark(pen);
      const locked = aLock({ person, pen }, section, day.candidates, [...day.plan, mark]);
      const { refused } = await room.handIn(writer, [mark, ...locked]);
      expect(refused).toEqual([]);
    }
    const again = await GradingRoom.open(aGradingId, store, "hub");
    for (const viewer of [chief, { person: "judge-2" as PersonId, roles: ["judge"] as const }]) {
      const ids = (one: GradingRoom) =>
        one
          .feed(viewer)
          .after(0)
          .map(({ entry }) => entry.id);
      expect(ids(again)).toEqual(ids(room));
      expect(again.feedId(viewer)).toBe(room.feedId(viewer));
    }
    expect(again.coverage()).toEqual(room.coverage());
  });

  it("[H30] takes nothing more of what waits for its commit when its writer is sent out", async () => {
    const room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
    const day = aTestDay({ judges: 1 });
    await room.handIn({ ...chief, ...onDevice("chief") }, day.plan);
    const [{ person, pen }] = day.judges as [(typeof day.judges)[0]];
    let taken = 0;
    const author = {
      person,
      roles: ["judge"] as const,
      ...onDevice(person),
      wrote: () => void taken++,
      isOut: () => taken >= 50,
    };
    const marks = Array.from({ length: 120 }, (_, n) => aMark(pen, { level: 1 + (n % 4) }));
    const { kept, refused } = await room.handIn(author, marks);
    expect([kept.length, refused.length]).toEqual([50, 70]);
    expect(new Set(refused.map(({ fault }) => fault.code))).toEqual(new Set(["NOT_ADMITTED"]));
  });

  it("[Y1] reads a long book whole, and hears others while it reads", async () => {
    const store = openMemoryScorebook();
    const day = aTestDay({ judges: 1 });
    const [{ pen }] = day.judges as [(typeof day.judges)[0]];
    const marks = Array.from({ length: 3000 }, (_, n) => aMark(pen, { level: 1 + (n % 4) }));
    await store.append(aGradingId, [...day.plan, ...marks]);
    let turns = 0;
    const stop = platformClock.every(0, () => turns++);
    const room = await GradingRoom.open(aGradingId, store, "hub");
    stop();
    expect(room.upTo).toBe(day.plan.length + marks.length);
    expect(room.book.entry(marks.at(-1)?.id as never)).toEqual(marks.at(-1));
    expect(turns).toBeGreaterThan(0);
  });

  it("[Y5] takes up what was imported beside it, and goes on writing after it", async () => {
    const store = openMemoryScorebook();
    const room = await GradingRoom.open(aGradingId, store, "hub");
    const day = aTestDay({ judges: 1 });
    const author = { ...chief, ...onDevice("chief") };
    await room.handIn(author, day.plan);
    const judge = day.judges[0];
    if (!judge) throw new Error("a judge");
    const writer = { person: judge.person, roles: ["judge"] as const, ...onDevice("judge-1") };
    const ids = () =>
      room
        .feed(writer)
        .after(0)
        .map(({ entry }) => entry.id);
    const [imported, own, later] = [aMark(judge.pen), aMark(judge.pen), aMark(judge.pen)];
    await store.append(aGradingId, [imported]);
    // The same entry comes once more over the wire, with a new one.
    const answer = await room.handIn(writer, [imported, own]);
    expect(answer.kept.toSorted()).toEqual([imported.id, own.id].toSorted());
    expect(ids().slice(day.plan.length)).toEqual([imported.id, own.id]);
    await store.append(aGradingId, [later]);
    await room.refresh();
    expect(ids().slice(day.plan.length)).toEqual([imported.id, own.id, later.id]);
    const again = await GradingRoom.open(aGradingId, store, "hub");
    expect(
      again
        .feed(writer)
        .after(0)
        .map(({ entry }) => entry.id),
    ).toEqual(ids());
    expect(again.coverage()).toEqual(room.coverage());
  });

  describe("after the chief had somebody erased", () => {
    const aDay = async (settings: GradingRoomSettings = {}) => {
      const store = openMemoryScorebook();
      const room = await GradingRoom.open(aGradingId, store, "hub", settings);
      const day = aTestDay({ judges: 1 });
      const [judge] = day.judges;
      if (!judge) throw new Error("a judge");
      const boss = { ...chief, ...onDevice("chief") };
      const writer = { person: judge.person, roles: ["judge"] as const, ...onDevice("judge-1") };
      await room.handIn(boss, day.plan);
      judge.pen.hear(day.plan.length);
      const aNote = (candidate: CandidateId) => {
        const { record, ref } = makeSideRecord(
          { grading: aGradingId, about: candidate, kind: "text", body: { text: "looks down" } },
          { random: (size) => new Uint8Array(size) },
        );
        const { section, item, side } = { section: "blocks", item: "rising-block", side: "left" };
        const entry = judge.pen.write("note", {
          candidate,
          section: section as SectionId,
          item: item as ItemId,
          side: side as "left",
          text: ref,
        });
        return { entry, record };
      };
      const [first, second] = day.candidates as [CandidateId, CandidateId];
      const erase = () => room.handIn(boss, [day.chief.write("erased", { about: first })]);
      return { store, room, writer, aNote, first, second, erase, boss, chief: day.chief };
    };

    it("[H21] nothing of them is held, and nothing of others is touched", async () => {
      const told: string[] = [];
      const day = await aDay({ onErased: (_, about) => told.push(about) });
      const { store, room, writer, aNote, first, second, erase } = day;
      const [hers, his] = [aNote(first), aNote(second)];
      await room.handIn(writer, [hers.entry, his.entry], [hers.record, his.record]);
      expect(room.side(hers.record.id)).toBeDefined();
      await erase();
      expect(room.side(hers.record.id)).toBeUndefined();
      expect(room.side(his.record.id)).toBeDefined();
      expect((await store.sides(aGradingId)).map(({ id }) => id)).toEqual([his.record.id]);
      expect(told).toEqual([first]);
    });

    it("[H192] nothing about another is taken with words that are filed under them, and lost with them", async () => {
      const { store, room, writer, aNote, first, second, erase } = await aDay();
      await erase();
      const { record } = aNote(first);
      const { entry } = aNote(second);
      const text = { id: record.id, digest: sideDigest(record) };
      const misfiled = revouched({ ...entry, body: { ...entry.body, text } });
      const { kept, refused } = await room.handIn(writer, [misfiled], [record]);
      expect(kept).toEqual([]);
      expect(refused.map(({ fault }) => fault.code)).toEqual(["SIDE_RECORD_MISFILED"]);
      expect(await store.sides(aGradingId)).toEqual([]);
      expect(room.trouble).toBeUndefined();
    });

    it("[H192] a line that names them too keeps its words about others, and refers to none that say otherwise", async () => {
      const { store, room, writer, aNote, first, second, erase, chief: pen, boss } = await aDay();
      const his = aNote(second);
      await room.handIn(writer, [his.entry], [his.record]);
      await erase();
      // A key that this kind does not have names the one who is gone.
      const { entry } = aNote(second);
      const text = { id: his.record.id, digest: "0".repeat(64) };
      const strange = revouched({
        ...entry,
        body: { ...entry.body, text, person: first },
      });
      const [wrong] = (await room.handIn(writer, [strange])).refused;
      expect(wrong?.fault.code).toBe("SIDE_RECORD_MISSING");
      const { record, ref } = makeSideRecord(
        { grading: aGradingId, about: boss.person, kind: "text", body: { text: "Gone home." } },
        { random: (size) => new Uint8Array(size) },
      );
      pen.hear(room.book.lamport);
      const opened = pen.write("revealed", {
        ...{ section: "blocks" as SectionId, candidates: [first, second], reason: ref },
      });
      expect((await room.handIn(boss, [opened], [record])).refused).toEqual([]);
      expect((await store.sides(aGradingId)).map(({ id }) => id)).toContain(record.id);
      expect(room.trouble).toBeUndefined();
    });

    it("[H153] nothing of them goes before it is noted and the door has forgotten them, and it is tried again", async () => {
      const said: (readonly [string, readonly string[]])[] = [];
      const told: Fault[] = [];
      let isWritable = false;
      const day = await aDay({
        onTrouble: (fault) => told.push(fault),
        onErasing(_, about, called) {
          if (!isWritable) throw new FaultError({ code: "STORE_LOST", with: { file: "notes" } });
          said.push([about, called]);
        },
      });
      const { store, room, writer, aNote, first, erase, chief } = day;
      const hers = aNote(first);
      await room.handIn(writer, [hers.entry], [hers.record]);
      await erase();
      expect(await store.sides(aGradingId)).toHaveLength(1);
      expect(said).toEqual([]);
      expect(told).toMatchObject([{ code: "ERASED_WAITS" }]);
      expect(room.erasedWaits?.code).toBe("ERASED_WAITS");
      isWritable = true;
      await room.handIn(day.boss, [chief.write("paused", {})]);
      expect(await store.sides(aGradingId)).toEqual([]);
      expect(said).toEqual([[first, []]]);
      expect(room.erasedWaits).toBeUndefined();
    });

    it("[H158] nothing is tried again by a room that is closed", async () => {
      const waits = new Set<() => void>();
      const after: Clock["after"] = (ms, work) => {
        if (ms === 0) return platformClock.after(ms, work);
        waits.add(work);
        return () => void waits.delete(work);
      };
      const full = () => {
        throw new FaultError({ code: "STORE_FULL" });
      };
      const day = await aDay({ onErasing: full, clock: { ...platformClock, after } });
      const hers = day.aNote(day.first);
      await day.room.handIn(day.writer, [hers.entry], [hers.record]);
      await day.erase();
      const before = waits.size;
      day.room.close();
      expect(before - waits.size).toBe(1);
      await day.room.refresh();
      expect(waits.size).toBe(before - 1);
    });

    it("[H21] a tablet that comes back later brings nothing back, and nothing of its own is refused", async () => {
      const { store, room, writer, aNote, first, erase } = await aDay();
      const [withWords, without] = [aNote(first), aNote(first)];
      await erase();
      const { kept, refused } = await room.handIn(
        writer,
        [withWords.entry, without.entry],
        [withWords.record],
      );
      expect({ kept, refused }).toEqual({
        kept: [withWords.entry.id, without.entry.id],
        refused: [],
      });
      expect(await store.sides(aGradingId)).toEqual([]);
    });

    it("[H21] an opening by hand that named them is taken without its reason", async () => {
      const { store, room, aNote, first, second, erase, boss, chief } = await aDay();
      const section = "blocks" as SectionId;
      const reason = aNote(first).entry.body.text;
      await erase();
      const opened = chief.write("revealed", { section, candidates: [second, first], reason });
      expect((await room.handIn(boss, [opened])).refused).toEqual([]);
      expect(await store.sides(aGradingId)).toEqual([]);
    });

    it("[H21] a hub killed before it had forgotten forgets when it reads the book again", async () => {
      const { store, room, writer, aNote, first, erase } = await aDay();
      const note = aNote(first);
      await room.handIn(writer, [note.entry], [note.record]);
      await erase();
      await store.append(aGradingId, [], [note.record]);
      const again = await GradingRoom.open(aGradingId, store, "hub");
      expect(again.side(note.record.id)).toBeUndefined();
      expect(await store.sides(aGradingId)).toEqual([]);
    });

    it("[H21] a disk that would not erase is asked again, and what was handed in is kept all the same", async () => {
      const waits: (() => void)[] = [];
      const after: Clock["after"] = (ms, work) => {
        if (ms > 0) waits.push(work);
        return platformClock.after(0, ms > 0 ? () => undefined : work);
      };
      const { store, room, writer, aNote, first, erase } = await aDay({
        clock: { ...platformClock, after },
      });
      const note = aNote(first);
      await room.handIn(writer, [note.entry], [note.record]);
      const whole = store.erase;
      store.erase = async () => {
        throw new FaultError({ code: "STORE_FULL" });
      };
      expect((await erase()).kept).toHaveLength(1);
      expect(room.side(note.record.id)).toBeUndefined();
      expect(await store.sides(aGradingId)).toHaveLength(1);
      store.erase = whole;
      for (const work of waits) work();
      await expect.poll(() => store.sides(aGradingId)).toEqual([]);
    });

    it("[L15] a book restored from before the erasing brings nobody back", async () => {
      const { store, room, writer, aNote, first } = await aDay();
      const note = aNote(first);
      await room.handIn(writer, [note.entry], [note.record]);
      const restored = await GradingRoom.open(aGradingId, store, "hub", {
        erasedBefore: () => [first],
      });
      expect(restored.side(note.record.id)).toBeUndefined();
      const late = aNote(first);
      await restored.handIn(writer, [late.entry], [late.record]);
      expect(await store.sides(aGradingId)).toEqual([]);
    });
  });
});
