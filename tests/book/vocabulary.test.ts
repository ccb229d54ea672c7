import { describe, expect, it } from "vitest";
import { countOfPlace, deviceOf, markOfPlace } from "../../src/book/counts.ts";
import { DeviceCounts } from "../../src/book/device-counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { inOrder } from "../../src/book/in-order.ts";
import { lastOf } from "../../src/book/last-of.ts";
import { isVouchedEntry, vouchedEntryId } from "../../src/book/vouched-id.ts";
import { aGradingId, anEntryId } from "../builders/a-pen.ts";
import { Register, register } from "../builders/a-register.ts";

const office = "office" as DeviceId;

function anEntry(
  kind: string,
  body: Record<string, unknown>,
  { n = 1, lamport = n, device = office }: Partial<Pick<AnyEntry, "n" | "lamport" | "device">> = {},
): AnyEntry {
  const place = { grading: aGradingId, device, n };
  const id = vouchedEntryId(anEntryId(), place);
  return { id, ...place, by: "ada" as PersonId, lamport, at: 0, kind, body };
}

describe("a book of another vocabulary", () => {
  it("knows its own kinds, and keeps those of any other untouched", () => {
    const joined = anEntry("joined", { person: "ada", later: "kept" });
    const mark = anEntry("mark", { level: "whatever" });
    for (const entry of [joined, mark])
      expect(register.readEntry(entry)).toEqual({ ok: true, entry });
    expect([joined, mark].map(register.isKnown)).toEqual([true, false]);
    expect(register.kindsThatAre("at-any-time")).toEqual(new Set(["joined"]));
  });

  it("says where a body is wrong, and where the line around it is", () => {
    expect(register.readEntry(anEntry("attended", { person: "ada", lessons: 0 }))).toMatchObject({
      ok: false,
      path: ["body", "lessons"],
    });
    expect(register.readEntry(anEntry("joined", { person: "ada" }, { n: 0 }))).toMatchObject({
      ok: false,
      path: ["n"],
    });
  });

  it("reads what a kind says more than was written, and keeps what was written", () => {
    const entry = anEntry("attended", { person: "ada", lessons: 3 });
    if (!register.isKnown(entry)) throw new Error("a kind of this book");
    expect(register.asRead(entry).body).toEqual({ person: "ada", lessons: 3, hall: "the hall" });
    expect(entry.body).toEqual({ person: "ada", lessons: 3 });
  });

  it("is counted, ordered and vouched for as any other", () => {
    const ofAda = countOfPlace(office, markOfPlace("ada"));
    const entries = [
      anEntry("joined", { person: "ada" }),
      anEntry("attended", { person: "ada", lessons: 1 }, { lamport: 2, device: ofAda }),
      anEntry("attended", { person: "ada", lessons: 2 }, { n: 2, lamport: 2 }),
    ] as const;
    const [first, apart, second] = entries;
    expect(entries.every(isVouchedEntry)).toBe(true);
    expect(isVouchedEntry({ ...second, n: 3 })).toBe(false);
    expect(inOrder([apart, second, first])).toEqual([first, second, apart]);
    expect(deviceOf(ofAda)).toBe(office);
    expect(lastOf(entries, office)).toEqual(
      new Map([
        [office, 2],
        [ofAda, 1],
      ]),
    );
    const counts = new DeviceCounts(({ kind }) => register.kindsThatAre("at-any-time").has(kind));
    expect(counts.fault(second, false)?.code).toBe("N_GAP");
    for (const entry of entries) counts.take(entry);
    expect(counts.fault(first, true)?.code).toBe("N_REUSED");
  });

  it("folds what it knows, in any order, and keeps the rest", () => {
    const entries = [
      anEntry("joined", { person: "ada" }),
      anEntry("attended", { person: "ada", lessons: 2 }, { n: 2 }),
      anEntry("attended", { person: "ada", lessons: 1 }, { n: 3 }),
      anEntry("mark", { level: 9 }, { n: 4 }),
    ];
    for (const order of [entries, entries.toReversed()]) {
      const book = new Register();
      expect(order.map((entry) => book.add(entry))).toEqual([true, true, true, true]);
      expect(book.add(entries[1] as AnyEntry)).toBe(false);
      expect(book.lessons).toEqual(new Map([["ada", 3]]));
      expect([book.size, book.lamport]).toEqual([4, 4]);
    }
  });
});
