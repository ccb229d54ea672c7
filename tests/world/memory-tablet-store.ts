import canonicalize from "canonicalize";
import type { AnyEntry } from "../../src/book/entry.ts";
import { FaultError } from "../../src/book/faults.ts";
import type { EntryId, GradingId, SideRecordId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { refsIn } from "../../src/line/refs-in.ts";
import type { Appended } from "../../src/ports/scorebook-store.ts";
import type { Pass, Refusal, TabletStore } from "../../src/ports/tablet-store.ts";

interface Row {
  place: number;
  grading: GradingId;
  entry: AnyEntry;
}
interface Unsent {
  grading: GradingId;
  n: number;
  sides: readonly SideRecordId[];
  refusal?: Refusal;
  isOwed?: true;
}

/** What is on a tablet's disk. It outlives every tab and every crash. */
export class TabletDisk {
  readonly rows = new Map<EntryId, Row>();
  /** Numbers taken, by grading and device. */
  readonly numbers = new Map<string, EntryId>();
  readonly sides = new Map<SideRecordId, SideRecord>();
  readonly outbox = new Map<EntryId, Unsent>();
  readonly receipts = new Map<EntryId, string>();
  readonly passes = new Map<GradingId, Pass>();
  places = 0;
}

/** How a store's work comes to the disk: at once, or when a simulated disk gets to it. */
export type ToDisk = <T>(what: "read" | "write", work: () => T) => Promise<T>;
const atOnce: ToDisk = async (_what, work) => work();

/** The tablet's store without IndexedDB: each piece of work is one transaction, whole or not at all. */
export function openMemoryTabletStore(disk: TabletDisk, toDisk: ToDisk = atOnce): TabletStore {
  const numberOf = (grading: GradingId, { device, n }: Pick<AnyEntry, "device" | "n">) =>
    `${grading}/${device}/${n}`;
  const rowsOf = (grading: GradingId) =>
    [...disk.rows.values()].filter((row) => row.grading === grading);

  function addRow(grading: GradingId, entry: AnyEntry): number {
    disk.places++;
    disk.rows.set(entry.id, { place: disk.places, grading, entry });
    disk.numbers.set(numberOf(grading, entry), entry.id);
    return disk.places;
  }
  function addNew(grading: GradingId, entries: readonly AnyEntry[]): Appended {
    const result: Appended = { added: [], known: [], refused: [] };
    for (const entry of entries) {
      const { id, device, n } = entry;
      const seen = disk.rows.get(id)?.entry;
      if (seen && (seen === entry || canonicalize(seen) === canonicalize(entry)))
        result.known.push(id);
      else if (seen) result.refused.push({ id, fault: { code: "ID_REUSED", with: { id } } });
      else if (disk.numbers.has(numberOf(grading, entry)))
        result.refused.push({ id, fault: { code: "N_REUSED", with: { device, n } } });
      else result.added.push({ entry, seq: addRow(grading, entry), chain: "" });
    }
    return result;
  }
  function giveWay(grading: GradingId, entry: AnyEntry): void {
    const id = disk.numbers.get(numberOf(grading, entry));
    if (!id || id === entry.id || disk.outbox.has(id)) return;
    disk.rows.delete(id);
    disk.numbers.delete(numberOf(grading, entry));
  }
  const placeOf = ({ id }: AnyEntry) => disk.rows.get(id)?.place ?? 0;
  const putSides = (sides: readonly SideRecord[]) => {
    for (const side of sides) disk.sides.set(side.id, side);
  };

  return {
    append: (grading, entries, sides = []) =>
      toDisk("write", () => {
        putSides(sides);
        return addNew(grading, entries);
      }),
    keep: (grading, entries, sides = []) =>
      toDisk("write", () => {
        const isTaken = entries.some(
          (entry) => disk.rows.has(entry.id) || disk.numbers.has(numberOf(grading, entry)),
        );
        if (isTaken) throw new FaultError({ code: "N_REUSED" });
        for (const entry of entries) {
          addRow(grading, entry);
          disk.outbox.set(entry.id, { grading, n: entry.n, sides: sides.map(({ id }) => id) });
        }
        putSides(sides);
      }),
    hear: (grading, entries, sides, place) =>
      toDisk("write", () => {
        putSides(sides);
        for (const entry of entries) giveWay(grading, entry);
        addNew(grading, entries);
        const pass = disk.passes.get(grading);
        if (pass) disk.passes.set(grading, { ...pass, ...place });
      }),
    read: (grading, since, limit) =>
      toDisk("read", () =>
        rowsOf(grading)
          .filter(({ place }) => place > since)
          .slice(0, limit)
          .map(({ entry, place }) => ({ entry, seq: place, chain: "" })),
      ),
    sides: (grading) =>
      toDisk("read", () => [...disk.sides.values()].filter((side) => side.grading === grading)),
    erase: (grading, about) =>
      toDisk("write", () => {
        const its = [...disk.sides.values()].filter(
          (side) => side.grading === grading && side.about === about,
        );
        for (const { id } of its) disk.sides.delete(id);
        return its.length;
      }),
    gradings: () =>
      toDisk("read", () => {
        const gradings = [...new Set([...disk.rows.values()].map(({ grading }) => grading))];
        return gradings.map((grading) => ({ grading, entries: rowsOf(grading).length }));
      }),
    outbox: (grading) =>
      toDisk("read", () => {
        const unsent = [...disk.outbox].filter(([, one]) => one.grading === grading);
        const entries = unsent.flatMap(([id]) => disk.rows.get(id)?.entry ?? []);
        const named = new Set(unsent.flatMap(([, one]) => one.sides));
        return {
          entries: entries.sort((a, b) => placeOf(a) - placeOf(b)),
          sides: [...named].flatMap((id) => disk.sides.get(id) ?? []),
          refusals: unsent.flatMap(([, { refusal }]) => refusal ?? []),
          owed: unsent.flatMap(([id, { isOwed }]) => (isOwed ? id : [])),
          receipts: new Map(
            unsent.flatMap(([id]) => {
              const receipt = disk.receipts.get(id);
              return receipt ? [[id, receipt] as const] : [];
            }),
          ),
        };
      }),
    refused: (refusal) =>
      toDisk("write", () => {
        const waiting = disk.outbox.get(refusal.id);
        if (waiting) disk.outbox.set(refusal.id, { ...waiting, refusal });
      }),
    sent: (_grading, ids, receipts = []) =>
      toDisk("write", () => {
        for (const [at, receipt] of receipts.entries())
          disk.receipts.set(ids[at] as EntryId, receipt);
        for (const id of ids) disk.outbox.delete(id);
      }),
    owe: (grading, entries) =>
      toDisk("write", () => {
        for (const entry of entries) {
          const sides = refsIn(entry).map(({ id }) => id);
          disk.outbox.set(entry.id, { grading, n: entry.n, sides, isOwed: true });
        }
      }),
    pass: (grading) => toDisk("read", () => disk.passes.get(grading)),
    passes: () => toDisk("read", () => [...disk.passes.values()]),
    keepPass: (pass) => toDisk("write", () => void disk.passes.set(pass.grading, { ...pass })),
    dropSides: (grading, kinds, atMs) =>
      toDisk("write", () => {
        const kept = new Set([...disk.outbox.values()].flatMap(({ sides }) => sides));
        const dropped = [...disk.sides.values()].flatMap((side) =>
          side.grading === grading && kinds.includes(side.kind) && !kept.has(side.id)
            ? [side.id]
            : [],
        );
        for (const id of dropped) disk.sides.delete(id);
        const pass = disk.passes.get(grading);
        if (pass) {
          const { feed: _, link: __, ...rest } = pass;
          disk.passes.set(grading, { ...rest, cursor: 0, rosterDroppedAtMs: atMs });
        }
        return dropped;
      }),
    forget: (grading) =>
      toDisk("write", () => {
        for (const { entry } of rowsOf(grading)) {
          disk.rows.delete(entry.id);
          disk.numbers.delete(numberOf(grading, entry));
          disk.outbox.delete(entry.id);
          disk.receipts.delete(entry.id);
        }
        for (const side of disk.sides.values())
          if (side.grading === grading) disk.sides.delete(side.id);
        disk.passes.delete(grading);
      }),
    close: async () => undefined,
  };
}
