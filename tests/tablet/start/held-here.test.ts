import { describe, expect, it } from "vitest";
import { readScorebookFile } from "../../../src/belt-test/scorebook/read-scorebook-file.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { fetchAnew } from "../../../src/tablet/start/fetch-anew.ts";
import { heldHere } from "../../../src/tablet/start/held-here.ts";
import { openDexieScorebook } from "../../../src/tablet/storage/dexie-scorebook.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aMark } from "../../builders/a-test-day.ts";

describe("what a broken app leaves on a tablet", () => {
  it("[T40] comes out as the scorebook file that the app would have made", async () => {
    const store = openDexieScorebook("held");
    const pen = aPen("judge-1");
    const marks = [1, 2, 3].map((level) => aMark(pen, { level }));
    await store.keep(aGradingId, marks);
    await store.keepPass({
      grading: aGradingId,
      device: "judge-1-tablet" as DeviceId,
      person: "judge-1" as PersonId,
      roles: ["judge"],
      name: "Ada",
      title: "Summer",
      passedOver: [{ by: "judge-2" as PersonId, lines: ["0".repeat(64)] }],
      cursor: 0,
      lastContactMs: 0,
    });
    await store.close();
    const [held, ...others] = await heldHere("held");
    expect(others).toEqual([]);
    expect(held?.title).toBe("Summer");
    expect(held?.file).toMatchObject({ person: "judge-1", entries: marks, sides: [] });
    const read = readScorebookFile(held?.file);
    expect(read.ok && read.file.passedOver).toHaveLength(1);
  });

  it("[T40] is nothing where there is no database, and none is made by looking", async () => {
    expect(await heldHere("never")).toEqual([]);
    expect((await indexedDB.databases()).map(({ name }) => name)).not.toContain("never");
  });
});

describe("fetching the app anew", () => {
  const aBrowser = (isThere: boolean) => {
    const did: string[] = [];
    const fetch = async (path: string, { cache }: { cache: string }) => {
      did.push(`${path} ${cache}`);
      if (!isThere) throw new TypeError("no network");
      return new Response('[{url:"index.html",revision:"1"},{"url":"assets/a.js"}]');
    };
    const caches = {
      keys: async () => ["precache"],
      delete: async (name: string) => did.push(`drop ${name}`) > 0,
    };
    const workers = {
      getRegistrations: async () => [{ unregister: async () => did.push("unregister") > 0 }],
    };
    return {
      did,
      browser: { fetch, caches, workers } as unknown as Parameters<typeof fetchAnew>[0],
    };
  };
  it("[T40] touches nothing where no hub answers", async () => {
    const { did, browser } = aBrowser(false);
    expect(await fetchAnew(browser)).toBe(false);
    expect(did).toEqual(["/health no-store"]);
  });
  it("[T40] goes past every cache, file by file", async () => {
    const { did, browser } = aBrowser(true);
    expect(await fetchAnew(browser)).toBe(true);
    expect(did.slice(0, 3)).toEqual(["/health no-store", "unregister", "drop precache"]);
    expect(did.slice(3).sort()).toEqual(
      ["/sw.js reload", "/ reload", "/index.html reload", "/assets/a.js reload"].sort(),
    );
  });
});
