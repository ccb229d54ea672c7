import { isWrittenByWhoMay } from "../../../belt-test/intake/written-by-who-may.ts";
import { readEntry } from "../../../belt-test/scorebook/entry.ts";
import type { Seat } from "../../../belt-test/scorebook/plan.ts";
import { fold } from "../../../belt-test/scorebook/scorebook.ts";
import { PersonDetails } from "../../../belt-test/scorebook/side-bodies.ts";
import { isPlanning, TestPack } from "../../../belt-test/scorebook/test-pack.ts";
import type { AnyEntry } from "../../../book/entry.ts";
import { FaultError } from "../../../book/faults.ts";
import type { DeviceId, PersonId } from "../../../book/identity.ts";
import { isOfVouchingForm, isVouchedEntry } from "../../../book/vouched-id.ts";
import { sideDigest } from "../../../line/make-side-record.ts";
import { sealOfPack, spokenSum } from "../../../line/sealed-pack.ts";
import type { Pass } from "../../../ports/tablet-store.ts";
import type { Services } from "../../session/services.tsx";

export interface OpenedPack {
  pack: TestPack;
  entries: AnyEntry[];
  title: string;
  date: string;
  /** The check sum as people read it to each other; undefined in a pack of the first form, of which nobody can tell whether it is whole. */
  spoken: string | undefined;
  /** Who may take this tablet. */
  people: { seat: Seat; name: string }[];
}
export type ReadPack =
  | { ok: true; pack: OpenedPack }
  | {
      ok: false;
      problem: "not-json" | "not-a-pack" | "newer" | "line-bad" | "no-plan" | "changed";
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
    if (format === "evenhand-test-pack" && typeof version === "number" && version > 2)
      return { ok: false, problem: "newer" };
    const path = read.error.issues[0]?.path.join(".") || "";
    return { ok: false, problem: "not-a-pack", ...(path ? { at: path } : {}) };
  }
  const pack = read.data;
  const seal = sealOfPack(json);
  if (seal === "changed") return { ok: false, problem: "changed" };
  const entries: AnyEntry[] = [];
  const digests = new Map(pack.sides.map((record) => [record.id, sideDigest(record)]));
  for (const [index, line] of pack.entries.entries()) {
    const one = readEntry(line);
    const at = `entries.${index}`;
    if (!one.ok) return { ok: false, problem: "line-bad", at: [at, ...one.path].join(".") };
    const isOwn = !isOfVouchingForm(one.entry.id) || isVouchedEntry(one.entry);
    if (one.entry.grading !== pack.grading || !isPlanning(one.entry) || !isOwn)
      return { ok: false, problem: "line-bad", at };
    entries.push(one.entry);
  }
  if (!isWrittenByWhoMay(entries)) return { ok: false, problem: "changed" };
  const book = fold(entries);
  const opener = entries.find(({ kind }) => kind === "opened")?.by;
  if (!book.plan.opened) return { ok: false, problem: "no-plan" };
  const people = book.plan.seats
    .filter(({ roles }) => roles.length > 0)
    // Without a check sum anybody could have made themselves chief in it.
    .filter(({ person, roles }) => pack.sum || person === opener || !roles.includes("chief"))
    .map((seat) => {
      const record = pack.sides.find(({ id }) => id === seat.details?.id);
      // A name that does not fit its seal is shown to nobody.
      const isTrue = record && digests.get(record.id) === seat.details?.digest;
      const details = PersonDetails.safeParse(isTrue ? record.body : undefined);
      return { seat, name: details.success ? details.data.name : "" };
    });
  const { title, date } = book.plan.opened;
  const spoken = pack.sum && spokenSum(pack.sum);
  return { ok: true, pack: { pack, entries, title, date, spoken, people } };
}

/**
 * Puts the pack on this device for one of its people. What is here of that grading stays, and its pass is only added to: a tablet that is in
 * at a hub stays in, as whoever it is.
 * @throws FaultError PACK_CHANGED where the pack says otherwise of a line that is here, or was made by nobody who is chief in what is here.
 */
export async function takePack(
  { store, makeId, nowMs }: Services,
  { pack, entries, title, people }: OpenedPack,
  person: PersonId,
): Promise<Pass> {
  const holder = people.find(({ seat }) => seat.person === person);
  const before = await store.pass(pack.grading);
  // A pack may bring the plan further, and it is the chief's of the plan that is here who does.
  const here = fold((await store.read(pack.grading, 0)).map(({ entry }) => entry));
  const opener = entries.find(({ kind }) => kind === "opened")?.by;
  if (here.plan.opened && !(opener && here.plan.seat(opener)?.roles.includes("chief")))
    throw new FaultError({ code: "PACK_CHANGED", with: { file: title } });
  // The whole record of a name may be here, and the pack has it cut.
  const held = new Set((await store.sides(pack.grading)).map(({ id }) => id));
  const { refused } = await store.append(
    pack.grading,
    entries,
    pack.sides.filter(({ id }) => !held.has(id)),
  );
  if (refused.length > 0) throw new FaultError({ code: "PACK_CHANGED", with: { file: title } });
  const pass: Pass = before?.token
    ? { ...before, title }
    : {
        cursor: 0,
        ...before,
        grading: pack.grading,
        // Another person on the same tablet writes with another pen: one device, one hand.
        device: before?.person === person ? before.device : (makeId() as DeviceId),
        person,
        roles: holder?.seat.roles ?? [],
        name: holder?.name ?? "",
        title,
        lastContactMs: nowMs(),
      };
  await store.keepPass(pass);
  return pass;
}

/** What lets this tablet in at a hub; it is the hub then that says whose it is. */
export async function passAtHub(
  { store }: Pick<Services, "store">,
  { pack }: OpenedPack,
): Promise<Pass | undefined> {
  const pass = await store.pass(pack.grading);
  return pass?.token === undefined ? undefined : pass;
}
