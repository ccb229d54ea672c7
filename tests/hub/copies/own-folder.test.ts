import { chmodSync, existsSync, mkdirSync, mkdtempSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it } from "vitest";
import { ownFolder } from "../../../src/hub/copies/own-folder.ts";

const aPlace = () => mkdtempSync(join(tmpdir(), "evenhand-copies-"));

it("[L105] two hubs that copy to one folder never take the other's copies for their own", () => {
  const place = aPlace();
  const stick = join(place, "stick");
  const [one, other] = [join(place, "one"), join(place, "other")];
  expect(ownFolder(one, undefined)).toEqual({ folder: join(one, "backups"), isAnothers: false });
  expect(existsSync(stick)).toBe(false);
  expect(ownFolder(one, stick)).toEqual({ folder: stick, isAnothers: false });
  const second = ownFolder(other, stick);
  expect(second.isAnothers).toBe(true);
  expect(second.folder.startsWith(join(stick, "/"))).toBe(true);
  // At every start the same; also where what says whose it is was cut off: then once more, and no oftener.
  writeFileSync(join(other, "copies-of"), "");
  const third = ownFolder(other, stick);
  expect(ownFolder(other, stick)).toEqual(third);
  writeFileSync(join(other, "copies-of"), second.folder.slice(-8));
  expect(ownFolder(one, stick).folder).toBe(stick);
  expect(ownFolder(other, stick)).toEqual(second);
});

it("[L105] takes a folder of copies from before as its own, and one that cannot be written as it is", () => {
  const place = aPlace();
  const old = join(place, "old");
  mkdirSync(old);
  writeFileSync(join(old, "evenhand-20260606T100000000Z.sqlite"), "");
  expect(ownFolder(join(place, "data"), old)).toEqual({ folder: old, isAnothers: false });
  const file = join(place, "a-file");
  writeFileSync(file, "");
  chmodSync(file, 0o400);
  expect(ownFolder(join(place, "data"), file)).toEqual({ folder: file, isAnothers: false });
});
