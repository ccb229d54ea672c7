import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { formerAddresses } from "../../src/hub/former-addresses.ts";

const DAY_MS = 24 * 60 * 60 * 1000;
const [old, newer, now] = [
  "http://192.168.1.7:8080",
  "http://10.0.0.3:8080",
  "http://10.0.0.9:8080",
];
let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-addresses-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe("addresses a hub had", () => {
  it("[H54] are told newest first, those of now never, for ninety days", () => {
    expect(formerAddresses(folder, [old as string], 0)).toEqual([]);
    expect(formerAddresses(folder, [newer as string], 2 * DAY_MS)).toEqual([old]);
    expect(formerAddresses(folder, [now as string], 4 * DAY_MS)).toEqual([newer, old]);
    expect(formerAddresses(folder, [old as string], 5 * DAY_MS)).toEqual([now, newer]);
    expect(formerAddresses(folder, [old as string], 93 * DAY_MS)).toEqual([now]);
  });

  it("[H54] stop no hub where the note is damaged or the folder is gone", () => {
    writeFileSync(join(folder, "addresses.json"), "{");
    expect(formerAddresses(folder, [old as string], 0)).toEqual([]);
    expect(formerAddresses(folder, [now as string], DAY_MS)).toEqual([old]);
    expect(formerAddresses(join(folder, "none"), [now as string], DAY_MS)).toEqual([]);
  });
});
