import { afterEach, beforeEach, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { GradingId, SideRecordId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aMark } from "../builders/a-test-day.ts";

const other = "grading-2" as GradingId;

function aSide(id = "side-1"): SideRecord {
  return {
    id: id as SideRecordId,
    grading: aGradingId,
    about: "candidate-1" as CandidateId,
    kind: "candidate",
    salt: "0".repeat(32),
    body: { given: "Ada" },
  };
}

/** What every ScorebookStore promises, whatever it is made of. `open` gives an empty one. */
export function itKeepsTheScorebookContract(
  open: () => ScorebookStore | Promise<ScorebookStore>,
): void {
  let book: ScorebookStore;
  beforeEach(async () => {
    book = await open();
  });
  afterEach(() => book.close());
  const ids = async (grading = aGradingId, since = 0, limit?: number) =>
    (await book.read(grading, since, limit)).map(({ entry }) => entry.id);

  it("[L66] finds what a list of tests is made of as it would in every book", async () => {
    if (!book.titleLines) return;
    const pen = aPen("chief");
    const there = aPen("chief", "chief-tablet", other);
    const opened = pen.write("opened", { title: "“kind”:“closed”", date: "2026-06-06" });
    const again = pen.write("opened", { title: "Renamed", date: "2026-06-07" });
    await book.append(aGradingId, [opened, aMark(pen), again, aMark(pen)]);
    await book.append(other, [
      there.write("opened", { title: "The other", date: "2026-06-06" }),
      there.write("started", {}),
      there.write("floor-cleared", {}),
      there.write("closed", {}),
    ]);
    const found = (await book.titleLines()).map(({ grading, kind }) => `${grading} ${kind}`);
    expect(found.sort()).toEqual([
      `${aGradingId} opened`,
      `${aGradingId} opened`,
      `${other} closed`,
      `${other} opened`,
      `${other} started`,
    ]);
  });

  it("[L1] gives new entries rising places in the order they came", async () => {
    const pen = aPen("judge-1");
    const [a, b, c] = [aMark(pen), aMark(pen), aMark(pen)];
    const first = (await book.append(aGradingId, [a, b])).added;
    const second = (await book.append(aGradingId, [c])).added;
    const places = [...first, ...second].map(({ seq }) => seq);
    expect(places).toEqual(places.toSorted((x, y) => x - y));
    expect(new Set(places).size).toBe(3);
    const kept = await book.read(aGradingId, 0);
    expect(kept.map(({ entry }) => entry)).toEqual([a, b, c]);
    expect(kept.map(({ seq }) => seq)).toEqual(places);
  });

  it("[L2] takes an entry sent twice once, in one batch or in two", async () => {
    const entry = aMark(aPen("judge-1"));
    const first = await book.append(aGradingId, [entry, entry]);
    expect(first.added.map((stored) => stored.entry.id)).toEqual([entry.id]);
    expect(first.known).toEqual([entry.id]);
    const again = await book.append(aGradingId, [structuredClone(entry)]);
    expect(again).toEqual({ added: [], known: [entry.id], refused: [] });
    expect(await ids()).toEqual([entry.id]);
  });

  it("[L3] refuses another body under a used id by name, and takes the rest of the batch", async () => {
    const pen = aPen("judge-1");
    const first = aMark(pen, { level: 4 });
    await book.append(aGradingId, [first]);
    const forged = { ...aMark(pen, { level: 1 }), id: first.id };
    const good = aMark(pen);
    const answer = await book.append(aGradingId, [forged, good]);
    expect(answer.refused.map(({ id, fault }) => [id, fault.code])).toEqual([
      [first.id, "ID_REUSED"],
    ]);
    expect(answer.added.map(({ entry }) => entry.id)).toEqual([good.id]);
    expect((await book.read(aGradingId, 0)).map(({ entry }) => entry)).toEqual([first, good]);
  });

  it("[L4] refuses a second entry under a device's used n", async () => {
    const pen = aPen("judge-1");
    const first = aMark(pen);
    const second = { ...aMark(pen), n: first.n };
    const answer = await book.append(aGradingId, [first, second]);
    expect(answer.refused.map(({ id, fault }) => [id, fault.code])).toEqual([
      [second.id, "N_REUSED"],
    ]);
    expect(await ids()).toEqual([first.id]);
    // Another device has a count of its own.
    const elsewhere = { ...aMark(aPen("judge-1", "second-tablet")), n: first.n };
    expect((await book.append(aGradingId, [elsewhere])).refused).toEqual([]);
  });

  it("[L14] erases what is kept about one person in one grading, and nothing else", async () => {
    const entry = aMark(aPen("judge-1"));
    const her = aSide();
    const him = { ...aSide("side-2"), about: "candidate-2" as CandidateId };
    const elsewhere = { ...aSide("side-3"), grading: other };
    await book.append(aGradingId, [entry], [her, him]);
    await book.append(other, [], [elsewhere]);
    expect(await book.erase(aGradingId, "candidate-1")).toBe(1);
    expect(await book.erase(aGradingId, "candidate-1")).toBe(0);
    expect(await book.sides(aGradingId)).toEqual([him]);
    expect(await book.sides(other)).toEqual([elsewhere]);
    expect(await ids()).toEqual([entry.id]);
  });

  it("[L5] reads on from a place, so many at a time, and keeps gradings apart", async () => {
    const pen = aPen("judge-1");
    const entries = [aMark(pen), aMark(pen), aMark(pen), aMark(pen)];
    await book.append(aGradingId, entries);
    const elsewhere = aMark(aPen("judge-1", "judge-1-tablet", other));
    await book.append(other, [elsewhere]);
    const places = (await book.read(aGradingId, 0)).map(({ seq }) => seq);
    expect(await ids(aGradingId, places[0], 2)).toEqual(entries.slice(1, 3).map(({ id }) => id));
    expect(await ids(aGradingId, places[3])).toEqual([]);
    expect(await ids(other)).toEqual([elsewhere.id]);
    expect(await ids("nobody-knows" as GradingId)).toEqual([]);
    expect((await book.gradings()).toSorted((a, b) => a.grading.localeCompare(b.grading))).toEqual([
      { grading: aGradingId, entries: 4 },
      { grading: other, entries: 1 },
    ]);
  });

  it("[L6] keeps keys it does not know, so that another year's tablet loses nothing", async () => {
    const entry = {
      ...aMark(aPen("judge-1")),
      kind: "of-next-year",
      body: { shape: [1, { a: null }] },
      extra: "kept",
    };
    await book.append(aGradingId, [entry]);
    expect((await book.read(aGradingId, 0))[0]?.entry).toEqual(entry);
  });

  it("[L7] keeps side records with the entries they came with, once", async () => {
    const side = aSide();
    await book.append(aGradingId, [aMark(aPen("judge-1"))], [side, aSide("side-2")]);
    await book.append(aGradingId, [], [side]);
    expect((await book.sides(aGradingId)).map(({ id }) => id).toSorted()).toEqual([
      "side-1",
      "side-2",
    ]);
    expect((await book.sides(aGradingId)).find(({ id }) => id === side.id)).toEqual(side);
    expect(await book.sides(other)).toEqual([]);
  });
}
