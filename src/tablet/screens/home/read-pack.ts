import type { DeviceId, PersonId } from "../../../core/identity.ts";
import { type AnyEntry, readEntry } from "../../../core/scorebook/entry.ts";
import { fold, type Seat } from "../../../core/scorebook/scorebook.ts";
import { PersonDetails } from "../../../core/scorebook/side-record.ts";
import { isPlanning, TestPack } from "../../../core/scorebook/test-pack.ts";
import type { Pass } from "../../../ports/tablet-store.ts";
import { sideDigest } from "../../../sync/make-side-record.ts";
import type { Services } from "../../session/services.tsx";

export interface OpenedPack {
  pack: TestPack;
  entries: AnyEntry[];
  title: string;
  date: string;
  /** Who may take this tablet. */
  people: { seat: Seat; name: string }[];
}
export type ReadPack =
  | { ok: true; pack: OpenedPack }
  | {
      ok: false;
      problem: "not-json" | "not-a-pack" | "newer" | "line-bad" | "no-plan";
      at?: string;
    };

/** Reads a test pack file whole, or says where it is broken; nothing is stored yet. */
export function readPack(text: string): ReadPack {
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    return { ok: false, problem: "not-json" };
  }
  const read = TestPack.safeParse(json);
  if (!read.success) {
    const { format, version } = (json ?? {}) as { format?: unknown; version?: unknown };
    if (format === "evenhand-test-pack" && typeof version === "number" && version > 1)
      return { ok: false, problem: "newer" };
    const path = read.error.issues[0]?.path.join(".") || "";
    return { ok: false, problem: "not-a-pack", ...(path ? { at: path } : {}) };
  }
  const pack = read.data;
  const entries: AnyEntry[] = [];
  const digests = new Map(pack.sides.map((record) => [record.id, sideDigest(record)]));
  for (const [index, line] of pack.entries.entries()) {
    const one = readEntry(line);
    const at = `entries.${index}`;
    if (!one.ok) return { ok: false, problem: "line-bad", at: [at, ...one.path].join(".") };
    if (one.entry.grading !== pack.grading || !isPlanning(one.entry))
      return { ok: false, problem: "line-bad", at };
    entries.push(one.entry);
  }
  const book = fold(entries);
  if (!book.opened) return { ok: false, problem: "no-plan" };
  const people = book.seats
    .filter(({ roles }) => roles.length > 0)
    .map((seat) => {
      const record = pack.sides.find(({ id }) => id === seat.details?.id);
      // A name that does not fit its seal is shown to nobody.
      const isTrue = record && digests.get(record.id) === seat.details?.digest;
      const details = PersonDetails.safeParse(isTrue ? record.body : undefined);
      return { seat, name: details.success ? details.data.name : "" };
    });
  const { title, date } = book.opened;
  return { ok: true, pack: { pack, entries, title, date, people } };
}

/** Puts the pack on this device for one of its people; what is here of that grading already stays. */
export async function takePack(
  { store, makeId, nowMs }: Services,
  { pack, entries, title, people }: OpenedPack,
  person: PersonId,
): Promise<Pass> {
  const holder = people.find(({ seat }) => seat.person === person);
  const before = await store.pass(pack.grading);
  const pass: Pass = {
    grading: pack.grading,
    // Another person on the same tablet writes with another pen: one device, one hand.
    device: before?.person === person ? before.device : (makeId() as DeviceId),
    person,
    roles: holder?.seat.roles ?? [],
    name: holder?.name ?? "",
    title,
    cursor: 0,
    lastContactMs: nowMs(),
  };
  await store.append(pack.grading, entries, pack.sides);
  await store.keepPass(pass);
  return pass;
}
