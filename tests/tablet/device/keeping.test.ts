import { describe, expect, it, vi } from "vitest";
import { askToKeep, keepingHere } from "../../../src/tablet/device/keeping.ts";
import { sizeInWords } from "../../../src/tablet/device/size-in-words.ts";

const storage = (more: Partial<StorageManager>) => more as StorageManager;

describe("how a browser keeps what is written here", () => {
  it("tells whether it stays and how much room is left", async () => {
    const here = storage({
      persisted: async () => true,
      estimate: async () => ({ quota: 3e9, usage: 1e9 }),
    });
    expect(await keepingHere(here)).toEqual({
      isForGood: true,
      roomBytes: 2e9,
      isRoomLittle: false,
    });
  });

  it("warns below twenty megabytes, and not at twenty", async () => {
    const left = (bytes: number) =>
      keepingHere(storage({ estimate: async () => ({ quota: 1e9, usage: 1e9 - bytes }) }));
    expect((await left(19_999_999)).isRoomLittle).toBe(true);
    expect((await left(20_000_000)).isRoomLittle).toBe(false);
  });

  it("knows nothing where the browser does not tell, and warns of nothing", async () => {
    const unknown = { isForGood: undefined, roomBytes: undefined, isRoomLittle: false };
    expect(await keepingHere(undefined)).toEqual(unknown);
    const broken = async () => Promise.reject(new Error("no"));
    expect(await keepingHere(storage({ persisted: broken, estimate: broken }))).toEqual(unknown);
  });

  it("asks once for storage that stays, and bears a refusal", async () => {
    const persist = vi.fn(async () => Promise.reject(new Error("no")));
    await askToKeep(storage({ persisted: async () => true, persist }));
    expect(persist).not.toHaveBeenCalled();
    await askToKeep(storage({ persisted: async () => false, persist }));
    expect(persist).toHaveBeenCalledOnce();
    await askToKeep(undefined);
  });

  it.each([
    [18_400_000, "18 MB"],
    [2_140_000_000, "2.1 GB"],
    [64_900_000_000, "65 GB"],
    [-5, "0 MB"],
  ])("says %i bytes as %s", (bytes, words) => {
    expect(sizeInWords(bytes, "en-GB").replace(/\s/g, " ")).toBe(words);
  });
});
