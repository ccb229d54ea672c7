import { describe, expect, it } from "vitest";
import type { AnyEntry } from "../../../src/book/entry.ts";
import { HeldBox } from "../../../src/hub/seals/held-box.ts";
import { anEntryId, aPen } from "../../builders/a-pen.ts";
import { anId } from "../../builders/an-id.ts";

const pen = aPen("chief", "held-1");
const held = (count: number) =>
  pen.write("held", {
    of: anEntryId(),
    judge: anId("judge-1"),
    candidate: anId("candidate-1"),
    section: anId("blocks"),
    basis: { "judge-1-tablet.67f9cff0": count } as never,
  }) as AnyEntry;

describe("what a hub held, shut away", () => {
  it("[H103] is read by the hub with the same key, and by no other", () => {
    const lines = [held(3), held(40)];
    const shut = new HeldBox("a key").close(lines);
    expect(new HeldBox("a key").open(shut)).toEqual(lines);
    expect(new HeldBox("another key").open(shut)).toBeUndefined();
    expect(shut).not.toContain("judge-1");
  });

  it("[H103] is not taken when a letter of it was changed, cut off or made up", () => {
    const box = new HeldBox("a key");
    const shut = box.close([held(3)]);
    for (let at = 0; at < shut.length; at += 97) {
      const letter = shut[at] === "A" ? "B" : "A";
      expect(box.open(shut.slice(0, at) + letter + shut.slice(at + 1))).toBeUndefined();
      expect(box.open(shut.slice(0, at))).toBeUndefined();
    }
    expect(box.open("")).toBeUndefined();
    expect(box.open("held")).toBeUndefined();
  });

  it("[H102] is as long whatever the numbers in it", () => {
    const box = new HeldBox("a key");
    const lengths = [1, 9, 77, 1_234, 49_999].map((count) => box.close([held(count)]).length);
    expect(new Set(lengths).size).toBe(1);
  });
});
