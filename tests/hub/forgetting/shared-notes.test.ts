import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import type { GradingId } from "../../../src/book/identity.ts";
import { openTakenAway } from "../../../src/hub/forgetting/forget-again.ts";
import { SharedNotes } from "../../../src/hub/forgetting/shared-notes.ts";
import { openStore } from "../../../src/hub/store/open-store.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { platformClock } from "../../../src/ports/clock.ts";
import { nobodyElse } from "../../../src/ports/store-news.ts";

it("[L147] takes up what another hub on the store noted, whatever beside it cannot be read", async () => {
  const folder = () => mkdtempSync(join(tmpdir(), "evenhand-notes-"));
  const { door, close } = await openStore(folder(), undefined, testBooks);
  const [here, there] = [openTakenAway(folder()), openTakenAway(folder())];
  there.erased.note("grading-1" as GradingId, "candidate-1" as CandidateId, 1);
  await new SharedNotes(door, there, nobodyElse, platformClock).level();
  await door.keepSetting("taken-away/stands/cut", "{cut o");
  expect(await new SharedNotes(door, here, nobodyElse, platformClock).level()).toBe(true);
  expect(here.erased.all().map(({ about }) => about)).toEqual(["candidate-1"]);
  await close();
});
