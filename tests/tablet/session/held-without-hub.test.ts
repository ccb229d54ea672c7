import { describe, expect, it } from "vitest";
import type { CandidateId, SectionId } from "../../../src/belt-test/identity.ts";
import { sight } from "../../../src/belt-test/scorebook/sight.ts";
import { testPack } from "../../../src/belt-test/scorebook/test-pack.ts";
import { deviceOf } from "../../../src/book/counts.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import type { Pass } from "../../../src/ports/tablet-store.ts";
import { giveOver, missingWithoutHub } from "../../../src/tablet/session/held-without-hub.ts";
import { Notebook } from "../../../src/tablet/session/notebook.ts";
import { anEntryId } from "../../builders/a-pen.ts";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryTabletStore, TabletDisk } from "../../world/memory-tablet-store.ts";

const [mia, tom] = ["candidate-1", "candidate-2"] as [CandidateId, CandidateId];
const [first, second, third] = ["judge-1", "judge-2", "judge-3"] as [PersonId, PersonId, PersonId];
const blocks = "blocks" as SectionId;

/** The chief's device on the road, to which the files of two judges came who have locked nothing. */
async function onTheRoad(more: Partial<Pass> = {}) {
  const day = aTestDay();
  const store = openMemoryTabletStore(new TabletDisk());
  const pass = {
    grading: day.plan[0]?.grading as never,
    device: "chief-tablet-2" as DeviceId,
    person: "chief" as PersonId,
    roles: ["chief" as const],
    name: "C",
    cursor: 0,
    lastContactMs: 0,
    ...more,
  };
  await store.keepPass(pass);
  const notebook = await Notebook.open({ store, pass, makeId: anEntryId, nowMs: Date.now });
  const marks = day.judges
    .slice(0, 2)
    .flatMap(({ pen }) => [
      aMark(pen, { candidate: mia }),
      aMark(pen, { candidate: mia, level: 2 }),
      aMark(pen, { candidate: tom }),
    ]);
  await notebook.take([...day.plan, ...marks] as AnyEntry[], []);
  const recused = day.judges[1]?.pen.write("recused", { candidate: mia, section: null });
  await notebook.take([recused as AnyEntry], []);
  return notebook;
}
/** The devices of which a line says how far they have come at some place; the place of `open` aside, whose marks it opens. */
const told = (entries: readonly AnyEntry[], closed: RegExp): string[] =>
  entries
    .flatMap((entry) => JSON.stringify(entry.body).match(/"judge-\d-tablet\.[0-9a-f]{8}"/g) ?? [])
    .filter((count) => closed.test(deviceOf(count.slice(1, -1))));

describe("a chief's device without a hub", () => {
  it("[H97] says what it held when it gives a place away to chiefs alone: no other tablet, and no pack, is told how often anybody tapped", async () => {
    const notebook = await onTheRoad();
    const before = notebook.book.size;
    await giveOver(notebook, { judge: first, by: third });
    const said = [...notebook.book.entries()].slice(before);
    // It is said.
    expect(told(said, /judge-1/).length).toBeGreaterThan(1);
    expect(notebook.book.panel.replacements[0]?.body.basis).toMatchObject({});
    for (const [person, role] of [
      [third, "judge"],
      [second, "judge"],
      ["caller", "caller"],
      ["desk", "desk"],
    ] as const) {
      const viewer = { person: person as PersonId, roles: [role] };
      expect(
        told(
          said.filter((entry) => sight(viewer, entry) === "now"),
          /judge/,
        ),
      ).toEqual([]);
    }
    const { entries } = testPack(notebook.book, []);
    expect(told(entries as AnyEntry[], /judge/)).toEqual([]);
  });

  it("[H97] says of the place that it opens alone what it held there", async () => {
    const notebook = await onTheRoad();
    const { basis } = missingWithoutHub(notebook, mia, blocks);
    const counts = Object.keys(basis ?? {}).filter((count) => count.includes("."));
    // Of both judges, also of the one who stepped back: one place each.
    expect(counts.map((count) => deviceOf(count)).sort()).toEqual([
      "judge-1-tablet",
      "judge-2-tablet",
    ]);
    expect(new Set(counts.map((count) => count.split(".")[1])).size).toBe(1);
  });

  it("[Y239] says so too where the hub is away and files were taken, until it is met; else that hub says it", async () => {
    const token = "t".repeat(30);
    const files = { ids: [], waits: [], locks: [], since: 0 };
    for (const [more, says] of [
      [{ token }, false],
      [{ token, fromFiles: files }, true],
      [{ token, fromFiles: { ...files, isMet: true } }, false],
    ] as const) {
      const notebook = await onTheRoad(more);
      const { without } = missingWithoutHub(notebook, mia, blocks);
      expect(without !== undefined).toBe(says);
      await giveOver(notebook, { judge: first, by: third });
      const kinds = [...notebook.book.entries()].map(({ kind }) => kind);
      expect(kinds.includes(anId("held-at-giving"))).toBe(says);
    }
  });
});
