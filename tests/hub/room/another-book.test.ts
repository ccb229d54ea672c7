import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { vouchedEntryId } from "../../../src/book/vouched-id.ts";
import type { Handed } from "../../../src/hub/room/handed.ts";
import { Room, type RoomSettings } from "../../../src/hub/room/room.ts";
import { openSqliteScorebook } from "../../../src/hub/store/sqlite-scorebook.ts";
import type { StoredBooks } from "../../../src/hub/store/stored-books.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { withReceipt } from "../../../src/line/receipt.ts";
import type { ScorebookStore } from "../../../src/ports/scorebook-store.ts";
import { aGradingId, anEntryId } from "../../builders/a-pen.ts";
import { type Hand, RegisterIntake } from "../../builders/a-register-intake.ts";
import { type Post, registerReaders } from "../../builders/a-register-reading.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

const hand = (person: string, ...roles: Post[]): Hand => ({
  person: person as PersonId,
  roles,
  device: `${person}-tablet` as DeviceId,
});
const office = hand("ada", "office");
const ben = hand("ben", "instructor");
const eve = hand("eve", "instructor");

/** Who joined is what a list of registers is made of. */
const registerBooks: StoredBooks = { titleKinds: ["joined"], rolesIn: () => [] };

/** Somebody's device, which counts what it writes. */
function aDevice({ person, device }: Hand) {
  let n = 0;
  return (kind: string, body: Record<string, unknown>, skipped = 0): AnyEntry => {
    n += 1 + skipped;
    const place = { grading: aGradingId, device, n };
    const id = vouchedEntryId(anEntryId(), place);
    return { id, ...place, by: person, lamport: n, at: 0, kind, body };
  };
}
const said = ({ kept, refused }: Handed) => [
  kept.length,
  ...refused.map(({ fault }) => fault.code),
];
const aRecord = (about: string, body: Record<string, unknown>) =>
  makeSideRecord(
    { grading: aGradingId, about, kind: "called", body },
    { random: (bytes) => new Uint8Array(bytes).fill(7) },
  );
const box = {
  receiptFor: ({ id }: AnyEntry) => `receipt of ${id}`,
  bookmarkOf: ({ cursor }: { cursor: number }) => `place ${cursor}`,
};

function itKeepsAnotherBook(
  openStore: () => ScorebookStore,
  reopened: (store: ScorebookStore) => Promise<ScorebookStore>,
): void {
  let store: ScorebookStore;
  let ofOffice: ReturnType<typeof aDevice>;
  let ofBen: ReturnType<typeof aDevice>;
  let ofEve: ReturnType<typeof aDevice>;
  const open = (hub = "hub", settings: RoomSettings = {}) =>
    Room.open(
      aGradingId,
      store,
      hub,
      { readers: registerReaders, intake: new RegisterIntake() },
      { box, ...settings },
    );
  type RegisterRoom = Awaited<ReturnType<typeof open>>;
  const sent = (room: RegisterRoom, who: Hand, since = 0) =>
    room
      .feed(who)
      .after(since)
      .map(({ entry }) => `${entry.by} ${entry.kind}`);

  beforeEach(() => {
    store = openStore();
    [ofOffice, ofBen, ofEve] = [aDevice(office), aDevice(ben), aDevice(eve)];
  });
  afterEach(() => store.close());

  /** A month of two instructors, as two devices hand it in. */
  async function aMonth(room: RegisterRoom): Promise<void> {
    await room.handIn(office, [ofOffice("joined", { person: "kim" })]);
    await Promise.all([
      room.handIn(ben, [
        ofBen("attended", { person: "kim", lessons: 2 }),
        ofBen("judged", { person: "kim", month: "may" }),
      ]),
      room.handIn(eve, [ofEve("judged", { person: "kim", month: "june" })]),
    ]);
  }

  it("folds it, and sends each reader what its own rules say", async () => {
    const room = await open();
    await aMonth(room);
    expect(room.book.lessons).toEqual(new Map([["kim", 2]]));
    expect(sent(room, office)).toEqual(["ada joined", "ben attended"]);
    expect(sent(room, eve)).toEqual(["ada joined", "eve judged"]);
    expect(room.lastUnsealed?.entry.kind).toBe("attended");
    await room.handIn(office, [ofOffice("month-over", { month: "may" })]);
    expect(sent(room, office, 2)).toEqual(["ada month-over", "ben judged"]);
    expect(sent(room, eve, 2)).toEqual(["ada month-over"]);
    // Of their own part first: a word of the same month, and somebody they have taught too.
    await room.handIn(office, [ofOffice("month-over", { month: "june" })]);
    await room.handIn(eve, [ofEve("attended", { person: "kim", lessons: 1 })]);
    expect(sent(room, eve, 4)).toEqual(["eve attended", "ben attended"]);
    expect(sent(room, ben)).not.toContain("eve judged");
    expect(room.lastUnsealed).toBe(room.last);
  });

  it("narrows whom a line of it gives a seat, from that line on", async () => {
    const room = await open();
    await aMonth(room);
    await room.handIn(office, [ofOffice("teaches", { person: "ada" })]);
    await room.handIn(ben, [ofBen("attended", { person: "kim", lessons: 1 })]);
    expect(sent(room, office)).toEqual(["ada joined", "ben attended", "ada teaches"]);
  });

  it("goes on where a reader had stopped, and says where a reader knows more", async () => {
    const room = await open();
    await aMonth(room);
    const bookmark = room.bookmarkAt(office, 2);
    const read = { feed: room.feedId(office), cursor: 2, link: bookmark };
    expect(room.hasLost(office, read)).toBe(false);
    expect(room.isOwnBookmark(read)).toBe(true);
    expect(room.hasLost(office, { ...read, cursor: 3, link: undefined })).toBe(true);
    expect(room.hasLost(office, { ...read, link: "another book" })).toBe(true);
    await room.handIn(office, [ofOffice("month-over", { month: "may" })]);
    expect(sent(room, office, read.cursor)).toEqual(["ada month-over", "ben judged"]);
  });

  it("is read from the disk with the same feeds", async () => {
    const room = await open();
    await aMonth(room);
    await room.handIn(office, [ofOffice("month-over", { month: "may" })]);
    await room.handIn(ben, [ofBen("judged", { person: "kim", month: "june" })]);
    const before = [office, ben, eve].map((who) => room.feed(who).after(0));
    expect(before.map(({ length }) => length)).toEqual([4, 5, 3]);
    room.close();
    store = await reopened(store);
    const again = await open();
    expect([office, ben, eve].map((who) => again.feed(who).after(0))).toEqual(before);
    expect(again.feedId(office)).toBe(room.feedId(office));
    expect(again.holds(ben.device)).toEqual(new Map([[ben.device, [[1, 3]]]]));
  });

  it("refuses what its rules refuse, and what no book takes", async () => {
    const room = await open();
    await aMonth(room);
    const over = ofBen("month-over", { month: "may" });
    expect(said(await room.handIn(ben, [over]))).toEqual([0, "ROLE_MISSING"]);
    await room.handIn(office, [ofOffice("month-over", { month: "may" })]);
    const late = ofBen("judged", { person: "kim", month: "may" });
    expect(said(await room.handIn(ben, [late]))).toEqual([0, "GRADING_CLOSED"]);
    const [known] = room.feed(ben).after(1, 1);
    if (!known) throw new Error("a line of ben's");
    const { entry } = known;
    expect(said(await room.handIn(ben, [entry]))).toEqual([1]);
    expect(
      said(await room.handIn(ben, [{ ...entry, body: { person: "kim", lessons: 9 } }])),
    ).toEqual([0, "ID_REUSED"]);
    const lines = [
      { ...late, id: anEntryId(), n: 1 },
      ofBen("attended", { person: "kim", lessons: 1 }, 1),
      ofBen("attended", { person: "kim", lessons: 0 }),
      ofEve("attended", { person: "kim", lessons: 1 }),
    ];
    expect(said(await room.handIn(ben, lines))).toEqual([
      0,
      "N_REUSED",
      "N_GAP",
      "ENTRY_MALFORMED",
      "NOT_YOURS",
    ]);
    expect(room.upTo).toBe(5);
  });

  it("takes what is for anyone whatever is missing, and so many of it", async () => {
    const room = await open();
    const joined = Array.from({ length: 4 }, (_, at) =>
      ofBen("joined", { person: `kim-${at}` }, at === 0 ? 5 : 0),
    );
    expect(said(await room.handIn(ben, joined))).toEqual([3, "DEVICE_FULL"]);
  });

  it("knows again what it gave a receipt for", async () => {
    const room = await open();
    await room.handIn(office, [ofOffice("month-over", { month: "may" })]);
    const word = ofBen("judged", { person: "kim", month: "may" });
    const receipts = new Map([[word.id, box.receiptFor(word)]]);
    expect(said(await room.handIn(ben, [withReceipt(word, receipts)]))).toEqual([1]);
    expect(room.receiptsFor([word.id])).toEqual([...receipts.values()]);
  });

  it("keeps names beside it, shows them as they were written, and lets them go with whom they are of", async () => {
    const told: unknown[] = [];
    const room = await open("hub", {
      onErasing: (_, about, called) => told.push([about, called]),
      onErased: (_, about) => told.push(about),
    });
    const kim = aRecord("kim", { name: "Kim" });
    const ofLee = aRecord("lee", { name: "Lee" });
    const word = { person: "kim", month: "may" };
    const judged = ofBen("judged", { ...word, words: kim.ref });
    expect(said(await room.handIn(ben, [judged]))).toEqual([0, "SIDE_RECORD_MISSING"]);
    const ofOther = ofBen("judged", { ...word, words: ofLee.ref });
    expect(said(await room.handIn(ben, [ofOther], [ofLee.record]))).toEqual([
      0,
      "SIDE_RECORD_MISFILED",
    ]);
    const joined = ofOffice("joined", { person: "kim", called: kim.ref });
    expect(said(await room.handIn(office, [joined], [kim.record]))).toEqual([1]);
    expect(room.side(kim.ref.id)).toEqual(kim.record);
    expect(await store.sides(aGradingId)).toEqual([kim.record]);
    await room.handIn(office, [ofOffice("erased", { about: "kim" })]);
    expect(room.side(kim.ref.id)).toBeUndefined();
    expect(await store.sides(aGradingId)).toEqual([]);
    expect(told).toEqual([["kim", ["Kim"]], "kim"]);
    const again = ofOffice("joined", { person: "kim", called: kim.ref });
    expect(said(await room.handIn(office, [again], [kim.record]))).toEqual([1]);
    expect(await store.sides(aGradingId)).toEqual([]);
    expect(room.trouble).toBeUndefined();
  });

  it("two rooms on one store decide by what both wrote", async () => {
    const [here, there] = await Promise.all([open(), open()]);
    const told: string[] = [];
    there.onNews(({ lines }) => told.push(lines.map(({ entry }) => entry.kind).join()));
    await here.handIn(office, [ofOffice("month-over", { month: "may" })]);
    expect(there.upTo).toBe(0);
    const lines = [
      ofBen("judged", { person: "kim", month: "may" }),
      ofBen("judged", { person: "kim", month: "june" }),
    ];
    expect(said(await there.handIn(ben, lines))).toEqual([1, "GRADING_CLOSED"]);
    expect(sent(there, office)).toEqual(["ada month-over"]);
    expect(told).toEqual(["month-over", "judged"]);
    await here.refresh();
    expect(here.feed(ben).after(0)).toEqual(there.feed(ben).after(0));
  });
}

describe("another book in the same room, in memory", () => {
  itKeepsAnotherBook(openMemoryScorebook, async (store) => store);
});

describe("another book in the same room, on a disk", () => {
  let folder: string;
  const open = () => openSqliteScorebook(join(folder, "evenhand.sqlite"), registerBooks);
  beforeEach(() => {
    folder = mkdtempSync(join(tmpdir(), "another-book-"));
  });
  afterEach(() => rmSync(folder, { recursive: true, force: true }));
  itKeepsAnotherBook(open, async (store) => {
    await store.close();
    return open();
  });

  it("is listed by its own lines", async () => {
    const store = open();
    const ofOffice = aDevice(office);
    const [joined, over] = [
      ofOffice("joined", { person: "kim" }),
      ofOffice("month-over", { month: "may" }),
    ];
    await store.append(aGradingId, [joined, over]);
    expect(await store.titleLines?.()).toEqual([joined]);
    await store.close();
  });
});
