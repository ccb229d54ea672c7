import { createHash } from "node:crypto";
import fc from "fast-check";
import { v7 as uuidv7 } from "uuid";
import { describe, expect, it } from "vitest";
import { refusalOfId } from "../../src/belt-test/intake/refusal-of-id.ts";
import { RULES, type Rules } from "../../src/belt-test/scorebook/rules.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { CountId, GradingId } from "../../src/book/identity.ts";
import { EntryId } from "../../src/book/identity.ts";
import { isVouchedEntry, vouchedEntryId, vouchedSideId } from "../../src/book/vouched-id.ts";
import { anEntryId, aPen } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";

const place = fc.record({
  grading: fc.stringMatching(/^[a-z0-9-]{1,20}$/).map((id) => id as GradingId),
  device: fc.stringMatching(/^[a-z0-9]{1,20}(\.[0-9a-f]{8})?$/).map((id) => id as CountId),
  n: fc.integer({ min: 1, max: 60_000 }),
});

describe("an id that vouches", () => {
  it("[S232] of an entry is a UUID of version 8 (RFC 9562): 60 bits of the one it is made from, 62 of SHA-256 over them and its place", () => {
    fc.assert(
      fc.property(place, (of) => {
        const chance = uuidv7();
        const id = vouchedEntryId(chance, of);
        expect(EntryId.safeParse(id).success).toBe(true);
        const free = `${chance.slice(0, 8)}${chance.slice(9, 13)}8${chance.slice(15, 18)}`;
        const sum = createHash("sha256")
          .update(JSON.stringify([free, of.grading, of.device, of.n]))
          .digest();
        // The variant is 0b10: RFC 9562, section 4.1.
        sum[0] = ((sum[0] ?? 0) & 0x3f) | 0x80;
        expect(id.replaceAll("-", "")).toBe(free + sum.toString("hex").slice(0, 16));
      }),
    );
  });

  it("[S232] is of no other place, no other device and no other test", () => {
    fc.assert(
      fc.property(place, place, (one, other) => {
        const id = vouchedEntryId(uuidv7(), one);
        const isSame = JSON.stringify(one) === JSON.stringify(other);
        expect(isVouchedEntry({ ...one, id } as AnyEntry)).toBe(true);
        expect(isVouchedEntry({ ...other, id } as AnyEntry)).toBe(isSame);
        expect(isVouchedEntry({ ...one, n: one.n + 1, id } as AnyEntry)).toBe(false);
      }),
    );
  });

  it("[S232] of a name or text is of no other words, no other person, no other sort and no other test", () => {
    const side = (more = {}) =>
      vouchedSideId({
        ...{ grading: "test", about: "mia", kind: "candidate", digest: "a".repeat(64) },
        ...more,
      } as Parameters<typeof vouchedSideId>[0]);
    const others = [
      { grading: "other" },
      { about: "tom" },
      { kind: "text" },
      { digest: "b".repeat(64) },
    ];
    expect(new Set([side(), side(), ...others.map(side)]).size).toBe(5);
    expect(EntryId.safeParse(side()).success).toBe(true);
  });
});

describe("the id of a new entry", () => {
  const opening = (rules?: Rules) => aTestDay({ rules: rules ?? RULES }).plan;

  it("[S233] is its own, or the entry is not taken; books of before take ids that vouch for nothing", () => {
    const mark = aMark(aPen("judge-1"));
    const plain = { ...mark, id: anEntryId() } as AnyEntry;
    const others = { ...mark, id: aMark(aPen("judge-2")).id };
    for (const rules of [1, 2, 3] as const) {
      const book = fold(opening(rules));
      expect(refusalOfId(book, mark)).toBeNull();
      expect(refusalOfId(book, others)?.code).toBe("ID_UNVOUCHED");
      expect(refusalOfId(book, plain)?.code).toBe(rules < 3 ? undefined : "ID_UNVOUCHED");
      const stop = {
        ...aPen("judge-1").write("stopped", { wave: 1 }),
        id: anEntryId(),
      } as AnyEntry;
      expect(refusalOfId(book, stop)).toBeNull();
    }
  });

  it("[S234] opens no book anew by other rules", () => {
    const [opened] = opening() as [AnyEntry];
    const pen = aPen("chief", "a-tablet");
    const again = (rules: number | undefined) =>
      refusalOfId(
        fold(opening()),
        pen.write("opened", { ...(opened.body as { title: string; date: string }), rules }),
      );
    expect(again(RULES)).toBeNull();
    for (const rules of [undefined, 1, 2])
      expect(again(rules)?.with).toMatchObject({ path: "body.rules" });
  });
});
