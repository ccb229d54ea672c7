import { screen, waitFor, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useLocation } from "react-router";
import { beforeEach, describe, expect, it, vi } from "vitest";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { testPack } from "../../../src/belt-test/scorebook/test-pack.ts";
import type { DeviceId, GradingId, PersonId } from "../../../src/book/identity.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { sealedPack } from "../../../src/line/sealed-pack.ts";
import type { HubDesk } from "../../../src/ports/hub-desk.ts";
import { HomeScreen } from "../../../src/tablet/screens/home/home-screen.tsx";
import { keepChiefKey, readChiefKey } from "../../../src/tablet/session/chief-key.ts";
import { personName } from "../../../src/tablet/session/names.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";

const Where = () => <output data-testid="where">{useLocation().pathname}</output>;
const page = (
  <>
    <HomeScreen />
    <Where />
  </>
);
const where = () => screen.getByTestId("where").textContent;
const aHubWith = (gradings: number, more: Partial<HubDesk> = {}): Partial<HubDesk> => ({
  health: async () => ({ ok: true, gradings, entries: 0 }),
  ...more,
});
/** A device that has taken part in nothing yet. */
async function aNewDevice(hub: Partial<HubDesk> = {}) {
  const session = await aSession("chief", ["chief"], [], { hub });
  await session.services.store.forget(aGradingId);
  return session;
}
const offers = () =>
  screen
    .getAllByRole("listitem")
    .map((item) => item.querySelector("b")?.textContent)
    .filter(Boolean);

beforeEach(() => {
  localStorage.clear();
  history.replaceState(null, "", "/");
});

describe("the first page", () => {
  it("offers the example before all on an empty hub, then to set up, to join, to open a pack", async () => {
    (await aNewDevice(aHubWith(0))).show(page, "/");
    await screen.findByRole("button", { name: /example test/ });
    expect(offers()).toEqual([
      "Look at the example test",
      "Set up a belt test",
      "Join a belt test with a code",
      "Open a test pack",
    ]);
  });

  it("offers to join first where a test is planned already, and no joining where no hub answers", async () => {
    const { show } = await aNewDevice(aHubWith(2));
    const { unmount } = show(page, "/");
    await screen.findByRole("link", { name: /Join a belt test/ });
    expect(offers()[0]).toBe("Join a belt test with a code");
    expect(screen.queryByRole("button", { name: /example test/ })).toBeNull();
    unmount();
    (await aNewDevice()).show(page, "/");
    await screen.findByText(/No hub is connected/);
    expect(offers()).toEqual(["Set up a belt test", "Open a test pack"]);
  });

  it("opens the example with the asking device as chief", async () => {
    const grading = "example-1" as GradingId;
    const { show, services } = await aNewDevice(
      aHubWith(0, {
        openExample: async () => ({
          ok: true,
          token: "a-token",
          grading,
          person: "achterberg" as PersonId,
          title: "Example",
        }),
      }),
    );
    show(page, "/");
    await userEvent.click(await screen.findByRole("button", { name: /example test/ }));
    await waitFor(() => expect(where()).toBe("/tests/example-1/chief"));
    expect(await services.store.pass(grading)).toMatchObject({
      person: "achterberg",
      roles: ["chief"],
      token: "a-token",
    });
  });

  it("takes the chief's key from the address once, keeps it, and makes the grading on the hub with it", async () => {
    history.replaceState(null, "", "/#key=ABCD-EFGH");
    const claim = vi.fn<HubDesk["claim"]>(async () => ({
      ok: true,
      token: "chief-token",
      person: "rosalind" as PersonId,
    }));
    const makeGrading = vi.fn<HubDesk["makeGrading"]>(async (_, grading) => ({
      ok: true,
      grading,
    }));
    const { show, services, notebook } = await aNewDevice(aHubWith(0, { claim, makeGrading }));
    show(page, "/");
    expect(await screen.findByText("This device is the chief examiner’s.")).toBeTruthy();
    expect(claim).toHaveBeenCalledTimes(1);
    expect(claim.mock.calls[0]?.[0]).toBe("ABCD-EFGH");
    expect(location.hash).toBe("");
    const device = readChiefKey()?.device;

    await userEvent.click(screen.getByRole("button", { name: /Set up a belt test/ }));
    await userEvent.click(await screen.findByRole("button", { name: "Set it up" }));
    expect(screen.getAllByText("Please fill this in.")).toHaveLength(2);
    expect(makeGrading).not.toHaveBeenCalled();
    await userEvent.type(screen.getByLabelText(/What it is called/), "Summer belt test");
    await userEvent.type(screen.getByLabelText(/Your name/), "Rosalind Achterberg");
    expect(screen.queryByLabelText(/chief’s key/)).toBeNull();
    await userEvent.click(screen.getByRole("button", { name: "Set it up" }));
    await waitFor(() => expect(where()).toMatch(/^\/tests\/.+\/set-up$/));
    const [token, grading, usedDevice] = makeGrading.mock.calls[0] ?? [];
    expect([token, usedDevice]).toEqual(["chief-token", device]);
    expect(await services.store.pass(grading as GradingId)).toMatchObject({
      person: "rosalind",
      roles: ["chief"],
      token: "chief-token",
      name: "Rosalind Achterberg",
    });
    // The builder's one session wrote it, whatever grading it was asked for.
    expect(notebook.book.plan.opened?.title).toBe("Summer belt test");
    const seat = notebook.book.plan.seat("rosalind" as PersonId);
    expect(seat?.roles).toEqual(["chief"]);
    expect(personName(notebook, "rosalind" as PersonId)).toBe("Rosalind Achterberg");
    expect(JSON.stringify([...notebook.book.entries()])).not.toContain("Achterberg");
    expect([...notebook.sides.values()].map(({ body }) => body)).toEqual([
      { name: "Rosalind Achterberg" },
    ]);
  });

  it("says in words that a key is wrong, and makes nothing", async () => {
    const { show, services } = await aNewDevice(
      aHubWith(1, { claim: async () => ({ ok: false, fault: { code: "KEY_WRONG" } }) }),
    );
    show(page, "/");
    await userEvent.click(await screen.findByRole("button", { name: /Set up a belt test/ }));
    await userEvent.type(await screen.findByLabelText(/What it is called/), "Summer");
    await userEvent.type(screen.getByLabelText(/Your name/), "Rosalind");
    await userEvent.type(screen.getByLabelText(/chief’s key/), "NOPE");
    await userEvent.click(screen.getByRole("button", { name: "Set it up" }));
    expect((await screen.findByRole("alert")).textContent).toMatch(/key/i);
    expect(await services.store.passes()).toEqual([]);
    expect(where()).toBe("/");
  });

  it("shows a chief's second device what the hub holds, after its key, and opens it there too", async () => {
    const gradings = vi.fn<HubDesk["gradings"]>(async () => ({
      ok: true,
      gradings: [
        {
          grading: "winter" as GradingId,
          entries: 4210,
          title: "Winter belt test",
          date: "2026-12-05",
          state: "closed",
        },
        { grading: "bare" as GradingId, state: "planning" },
      ],
    }));
    const claim = vi.fn<HubDesk["claim"]>();
    claim.mockResolvedValueOnce({ ok: false, fault: { code: "KEY_WRONG" } });
    claim.mockResolvedValue({ ok: true, token: "chief-token", person: "rosalind" as PersonId });
    const makeGrading = vi.fn<HubDesk["makeGrading"]>();
    makeGrading.mockResolvedValueOnce({ ok: false, fault: { code: "HUB_UNREACHABLE" } });
    makeGrading.mockImplementation(async (_, grading) => ({ ok: true, grading }));
    const { show, services } = await aNewDevice(aHubWith(2, { gradings, claim, makeGrading }));
    show(page, "/");
    await userEvent.click(await screen.findByRole("button", { name: /Go on as chief examiner/ }));
    await userEvent.type(await screen.findByLabelText(/chief’s key/), "NOPE");
    await userEvent.click(screen.getByRole("button", { name: "Show my belt tests" }));
    expect((await screen.findByRole("alert")).textContent).toMatch(
      /lets no chief examiner in here/,
    );
    expect(screen.queryByRole("region", { name: "On the hub" })).toBeNull();
    await userEvent.click(screen.getByRole("button", { name: "Show my belt tests" }));

    const shelf = within(await screen.findByRole("region", { name: "On the hub" }));
    await waitFor(() => expect(shelf.getAllByRole("listitem")).toHaveLength(2));
    const [first, second] = shelf.getAllByRole("listitem");
    expect(first?.textContent).toMatch(/Winter belt test.*5 December 2026.*4,210 lines/);
    expect(second?.textContent).toMatch(/without a title.*being planned/);
    expect(second?.textContent).not.toMatch(/line|written/);
    expect(screen.queryByRole("button", { name: /Go on as chief examiner/ })).toBeNull();

    const open = () =>
      userEvent.click(
        shelf.getByRole("button", { name: "Open Winter belt test on this device too" }),
      );
    await open();
    expect((await shelf.findByRole("alert")).textContent).toMatch(/hub cannot be reached/);
    expect(await services.store.passes()).toEqual([]);
    await open();
    await waitFor(() => expect(where()).toBe("/tests/winter"));
    expect(await services.store.pass("winter" as GradingId)).toMatchObject({
      person: "rosalind",
      roles: ["chief"],
      token: "chief-token",
      title: "Winter belt test",
      cursor: 0,
    });
  });

  it("says so when the hub no longer knows this device's key, and asks for a new one", async () => {
    keepChiefKey({ token: "old", person: "r" as PersonId, device: "d" as DeviceId });
    const { show } = await aNewDevice(
      aHubWith(1, { gradings: async () => ({ ok: false, fault: { code: "TOKEN_WRONG" } }) }),
    );
    show(page, "/");
    expect(await screen.findByText(/does not know this device as the chief/)).toBeTruthy();
    expect(screen.getByRole("button", { name: /Go on as chief examiner/ })).toBeTruthy();
    // It may be good for the hub that had this address before.
    expect(readChiefKey()?.token).toBe("old");
  });

  it("lists what is on this device with role and state, the one used last first", async () => {
    const { plan } = aTestDay();
    const { show, services } = await aSession("judge-1", ["judge"], plan, { hub: aHubWith(1) });
    await services.store.keepPass({
      grading: "another" as GradingId,
      device: anId("d"),
      roles: [],
      token: "t",
      name: "Kim",
      title: "Winter belt test",
      cursor: 0,
      lastContactMs: 9e12,
    });
    show(page, "/");
    const list = await screen.findByRole("region", { name: "On this device" });
    const [first, second] = within(list).getAllByRole("listitem");
    expect(first?.textContent).toMatch(/Winter belt test.*Kim, not let in yet.*waiting/);
    expect(second?.textContent).toMatch(/Summer belt test.*Judge.*under way.*without a hub/);
    expect(
      within(list).getByRole("link", { name: "Open Summer belt test" }).getAttribute("href"),
    ).toBe("/tests/grading-1");
  });

  it("lets nothing leave the device that no hub has before its file is saved", async () => {
    const saved = vi.fn<(blob: Blob) => string>(() => "blob:file");
    URL.createObjectURL = saved as typeof URL.createObjectURL;
    URL.revokeObjectURL = () => undefined;
    vi.spyOn(HTMLAnchorElement.prototype, "click").mockImplementation(() => undefined);
    const { plan } = aTestDay();
    const { show, notebook, services } = await aSession("chief", ["chief"], plan);
    await notebook.write("paused", {});
    show(page, "/");
    await userEvent.click(
      await screen.findByRole("button", { name: "Remove Summer belt test from this device" }),
    );
    const dialog = within(await screen.findByRole("dialog"));
    expect(dialog.getByRole("status").textContent).toMatch(/1 line .* on no hub/);
    expect(dialog.queryByRole("button", { name: "Remove" })).toBeNull();
    await userEvent.click(dialog.getByRole("button", { name: "Save the scorebook file" }));
    await userEvent.click(await dialog.findByRole("button", { name: "Remove" }));
    await waitFor(async () => expect(await services.store.passes()).toEqual([]));
    const file = JSON.parse((await textOf(saved.mock.calls[0]?.[0] as Blob)) ?? "");
    expect(file).toMatchObject({ format: "evenhand-scorebook", person: "chief" });
    expect(file.entries).toHaveLength(plan.length + 1);
    expect(await screen.findByText(/No hub is connected/)).toBeTruthy();
    expect(screen.queryByRole("region", { name: "On this device" })).toBeNull();
  });

  it("opens a test pack as one of its people, and takes nothing of a damaged one", async () => {
    const { plan } = aTestDay();
    const chief = aPen("chief", "chief-second");
    chief.hear(1000);
    const { ref, record } = makeSideRecord(
      {
        grading: aGradingId,
        about: "judge-2" as PersonId,
        kind: "person",
        body: { name: "Tobias Okonkwo" },
      },
      { random: (bytes) => new Uint8Array(bytes) },
    );
    const named = chief.write("seated", {
      person: "judge-2" as PersonId,
      roles: ["judge"],
      details: ref,
    });
    const pack = sealedPack(testPack(fold([...plan, named]), [record]));
    const { show, services } = await aNewDevice();
    show(page, "/");
    await userEvent.click(await screen.findByRole("button", { name: /Open a test pack/ }));
    const input = await screen.findByLabelText("Choose the file");
    const changed = { ...pack, entries: pack.entries.slice(1) };
    await userEvent.upload(input, aFile(changed, "changed.json"));
    expect((await screen.findByRole("alert")).textContent).toMatch(/changed.json is not as/);
    const { sum: _, ...unsealed } = pack;
    const broken = sealedPack({ ...unsealed, entries: [...pack.entries, { kind: "mark" }] });
    await userEvent.upload(input, aFile(broken, "broken.json"));
    await waitFor(() =>
      expect(screen.getByRole("alert").textContent).toMatch(/broken.json is damaged at/),
    );
    expect(await services.store.gradings()).toEqual([]);

    await userEvent.upload(screen.getByLabelText("Choose the file"), aFile(pack, "plan.json"));
    await userEvent.click(await screen.findByRole("button", { name: /Tobias Okonkwo/ }));
    await waitFor(() => expect(where()).toBe("/tests/grading-1"));
    const pass = await services.store.pass(aGradingId);
    expect(pass).toMatchObject({ person: "judge-2", roles: ["judge"], name: "Tobias Okonkwo" });
    expect(pass?.token).toBeUndefined();
    expect(await services.store.read(aGradingId, 0)).toHaveLength(plan.length + 1);
    // The plan is the chief's: none of it waits here to be sent.
    expect((await services.store.outbox(aGradingId)).entries).toEqual([]);
  });

  it("keeps how this device shows things", async () => {
    (await aNewDevice()).show(page, "/");
    await userEvent.click(await screen.findByRole("button", { name: "Light, text and hand" }));
    const dialog = within(await screen.findByRole("dialog", { name: "This device" }));
    await userEvent.click(dialog.getByRole("radio", { name: "Dark hall" }));
    await userEvent.click(
      within(dialog.getByRole("group", { name: "Hand that marks" })).getByRole("radio", {
        name: "Left",
      }),
    );
    expect(document.documentElement.dataset.theme).toBe("dark");
    expect(JSON.parse(localStorage.getItem("evenhand-settings") ?? "")).toMatchObject({
      theme: "dark",
      hand: "left",
    });
    await userEvent.click(dialog.getByRole("button", { name: "Done" }));
    expect(screen.queryByRole("dialog")).toBeNull();
  });

  it("tells the chief whose names are due to go, and nobody else", async () => {
    const kept = {
      ok: true as const,
      rule: { months: 24, byItself: true },
      tests: [
        {
          grading: "old" as GradingId,
          title: "Winter belt test",
          date: "2024-06-30",
          due: "2026-06-30",
          state: "soon" as const,
          people: 40,
          goesFromMs: Date.UTC(2026, 6, 6, 12),
        },
      ],
      gone: [],
    };
    const answers = { namesKept: async () => kept, namesShown: async () => kept };
    const { show } = await aNewDevice(aHubWith(2, answers));
    const { unmount } = show(page, "/");
    await screen.findByRole("link", { name: /Join a belt test/ });
    expect(screen.queryByText(/due to go/)).toBeNull();
    unmount();
    keepChiefKey({
      token: "t".repeat(30),
      person: "chief" as PersonId,
      device: "laptop" as DeviceId,
    });
    show(page, "/");
    const due = await screen.findByRole("region", { name: /due to go/ });
    expect(due.textContent).toMatch(
      /Winter belt test, .*: 40 people, due on .*2026\. Goes by itself from .*2026 on/,
    );
  });
});

const aFile = (json: unknown, name: string) =>
  new File([JSON.stringify(json)], name, { type: "application/json" });
const textOf = (blob: Blob) =>
  new Promise<string>((resolve) => {
    const reader = new FileReader();
    reader.onload = () => resolve(String(reader.result));
    reader.readAsText(blob);
  });
