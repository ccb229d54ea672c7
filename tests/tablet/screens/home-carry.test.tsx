import { screen, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it } from "vitest";
import { scorebookFile } from "../../../src/belt-test/scorebook/scorebook-file.ts";
import type { GradingId, PersonId } from "../../../src/book/identity.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { HomeScreen } from "../../../src/tablet/screens/home/home-screen.tsx";
import { takeScorebook } from "../../../src/tablet/screens/home/take-scorebook.ts";
import { aGradingId, anEntryId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aMark, aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const judge = "judge-1" as PersonId;
const { plan } = aTestDay();

/** A judge's tablet under an address that the hub has no more: two marks and a note that never left it, and a mark of another's. */
function underTheOldAddress() {
  const pen = aPen(judge, "under-the-old-address");
  pen.hear(plan.length);
  const { ref, record } = makeSideRecord(
    {
      grading: aGradingId,
      about: anId("candidate-1"),
      kind: "text",
      body: { text: "Invented." },
    },
    { random: (bytes) => new Uint8Array(bytes).fill(7) },
  );
  const note = {
    candidate: anId("candidate-1"),
    section: anId("blocks"),
    item: null,
    side: null,
    text: ref,
  };
  const own = [aMark(pen), pen.write("note", note), aMark(pen, { criterion: "target" })];
  const others = aMark(aPen("judge-2"));
  const file = scorebookFile(aGradingId, [...plan, ...own, others], [record], judge);
  return { own, record, file };
}
async function underTheNewOne() {
  const session = await aSession(judge, ["judge"], plan);
  const pass = { ...session.notebook.pass, token: "t".repeat(30) };
  await session.services.store.keepPass(pass);
  return { ...session, pass, store: session.services.store };
}

describe("what was written elsewhere", () => {
  it("[Y22] goes from a file onto the way to the hub, with its own numbers and words, once", async () => {
    const { own, record, file } = underTheOldAddress();
    const { store, pass } = await underTheNewOne();
    expect(await takeScorebook(store, pass, JSON.stringify(file))).toEqual({ taken: 3, unread: 0 });
    const { entries, sides } = await store.outbox(aGradingId);
    expect(entries).toEqual(own);
    expect(sides).toEqual([record]);
    expect(await takeScorebook(store, pass, JSON.stringify(file))).toEqual({ taken: 0, unread: 0 });
    expect((await store.outbox(aGradingId)).entries).toEqual(own);
  });

  it("[Y132] leaves words in the file that were changed, or are filed under somebody else", async () => {
    const { own, record, file } = underTheOldAddress();
    const others = { ...record, about: anId("candidate-2") };
    const changed = { ...record, body: { text: "Something else." } };
    for (const sides of [[others], [changed]]) {
      const { store, pass } = await underTheNewOne();
      const text = JSON.stringify({ ...file, sides });
      expect(await takeScorebook(store, pass, text)).toEqual({ taken: 3, unread: 0 });
      const outbox = await store.outbox(aGradingId);
      expect(outbox.entries).toEqual(own);
      expect(outbox.sides).toEqual([]);
    }
  });

  it("[Y22] is taken from nobody else, of no other test, and out of no other file", async () => {
    const { file } = underTheOldAddress();
    const { store, pass } = await underTheNewOne();
    const problem = (changes: object) =>
      takeScorebook(store, pass, JSON.stringify({ ...file, ...changes }));
    expect(await problem({ person: "judge-2" })).toEqual({ problem: "file-person" });
    expect(await problem({ grading: "another" as GradingId })).toEqual({ problem: "file-other" });
    expect(await problem({ format: "evenhand-test-pack" })).toEqual({ problem: "file-not" });
    expect(await takeScorebook(store, pass, "{")).toEqual({ problem: "file-not" });
    expect((await store.outbox(aGradingId)).entries).toEqual([]);
  });

  it("[S80] brings no logical time that this tablet could not go on from", async () => {
    const { own, file } = underTheOldAddress();
    const { store, pass } = await underTheNewOne();
    const ahead = { ...own[2], id: anEntryId(), n: 4, lamport: 2 ** 48 };
    const more = { ...file, entries: [...file.entries, ahead] };
    expect(await takeScorebook(store, pass, JSON.stringify(more))).toEqual({ taken: 3, unread: 0 });
  });

  it("is taken in from the first page, which says how much, or why not", async () => {
    const { file } = underTheOldAddress();
    const { show } = await underTheNewOne();
    show(<HomeScreen />, "/");
    await userEvent.click(
      await screen.findByRole("button", { name: /^Carry over what was written of Summer/ }),
    );
    const dialog = within(await screen.findByRole("dialog"));
    expect(dialog.getByText("Everything written here is on the hub.")).toBeTruthy();
    const input = dialog.getByLabelText("Take in a scorebook file");
    const give = (text: string, name: string) => userEvent.upload(input, new File([text], name));
    await give("{", "notes.json");
    expect((await dialog.findByRole("alert")).textContent).toBe(
      "notes.json is not a scorebook file.",
    );
    await give(JSON.stringify(file), "old.scorebook.json");
    expect((await dialog.findByRole("status")).textContent).toBe(
      "3 lines of old.scorebook.json are here now. Open the test, and they go to the hub.",
    );
    // What only a newer app can read is counted, and the file is worth keeping.
    const newer = { ...file, entries: [...file.entries, { kind: "mark", body: 7 }] };
    await give(JSON.stringify(newer), "newer.json");
    expect(
      (await dialog.findByText(/Nothing in newer\.json was missing here\./)).textContent,
    ).toMatch(/1 line of it was written by a newer Evenhand.*Keep the file/);
    await userEvent.click(dialog.getByRole("button", { name: "Close" }));
    expect((await screen.findByText("3 lines not on the hub")).textContent).toBeTruthy();
  });
});
