import { createHash } from "node:crypto";
import { act, screen, waitFor, within } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it, vi } from "vitest";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import type { DeviceAtDoor } from "../../../src/line/doors.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import type { HubDesk } from "../../../src/ports/hub-desk.ts";
import { DoorScreen } from "../../../src/tablet/screens/door/door-screen.tsx";
import { personName } from "../../../src/tablet/session/names.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";
import { settle } from "../../builders/settle.ts";

const device = (id: string, more: Partial<DeviceAtDoor>): DeviceAtDoor => ({
  device: id as DeviceId,
  name: id,
  wants: "judge",
  state: "waiting",
  ...more,
});

/** A chief at the door of a hub that lets in and shuts out as it is told. */
async function aDoor(devices: DeviceAtDoor[], more: Partial<HubDesk> = {}) {
  const { plan } = aTestDay({ judges: 2 });
  const chief = aPen("chief", "chief-second");
  chief.hear(1000);
  const { ref, record } = makeSideRecord(
    {
      grading: aGradingId,
      about: "judge-1" as PersonId,
      kind: "person",
      body: { name: "Inès Halvorsen" },
    },
    { random: (bytes) => new Uint8Array(bytes) },
  );
  const named: AnyEntry = chief.write("seated", {
    person: "judge-1" as PersonId,
    roles: ["judge"],
    details: ref,
  });
  let code = "KX7P2M";
  const hub = {
    code: vi.fn<HubDesk["code"]>(async () => ({
      ok: true,
      code,
      addresses: ["http://localhost:8080", "http://192.168.1.7:8080/"],
    })),
    newCode: vi.fn<HubDesk["newCode"]>(async () => {
      code = "QQ22QQ";
      return { ok: true, code, addresses: ["http://192.168.1.7:8080"] };
    }),
    devices: vi.fn<HubDesk["devices"]>(async () => ({ ok: true, devices: [...devices] })),
    admit: vi.fn<HubDesk["admit"]>(async (_token, _grading, id, as) => {
      Object.assign(devices.find((one) => one.device === id) ?? {}, { state: "admitted", ...as });
      return { ok: true };
    }),
    refuse: vi.fn<HubDesk["refuse"]>(async (_token, _grading, id) => {
      Object.assign(devices.find((one) => one.device === id) ?? {}, { state: "refused" });
      return { ok: true };
    }),
    revoke: vi.fn<HubDesk["revoke"]>(async (_token, _grading, id) => {
      Object.assign(devices.find((one) => one.device === id) ?? {}, { state: "revoked" });
      return { ok: true };
    }),
    ...more,
  };
  const session = await aSession("chief", ["chief"], [...plan, named], {
    sides: [record],
    hub,
    token: "chief-token",
  });
  session.show(<DoorScreen />);
  await settle();
  return { ...session, hub };
}
const list = (name: string) => within(screen.getByRole("region", { name }));
const press = async (name: string) => {
  await userEvent.click(screen.getByRole("button", { name }));
  await settle();
};

describe("the door", () => {
  it("shows the code, and a square that leads to it at an address other tablets reach", async () => {
    await aDoor([]);
    expect(screen.getByText("KX7P2M")).toBeTruthy();
    expect(
      await screen.findByRole("img", { name: "QR code of http://192.168.1.7:8080/join" }),
    ).toBeTruthy();
    expect(
      screen.getByRole<HTMLSelectElement>("combobox", { name: /Address/ }).options[0]?.value,
    ).toBe("http://192.168.1.7:8080");
  });

  it("leads first to the page where a tablet learns to trust the hub, and shows what to compare there", async () => {
    const fingerprint = Array.from({ length: 32 }, (_, at) => `A${(at % 16).toString(16)}`)
      .join(":")
      .toUpperCase();
    await aDoor([], {
      trust: async () => ({
        ok: true,
        trust: { name: "Evenhand hub 1a2b3c", fingerprint, port: null },
      }),
    });
    const square = "QR code of http://192.168.1.7:8080/trust";
    expect(await screen.findByRole("img", { name: square })).toBeTruthy();
    await userEvent.click(screen.getByText("Fingerprint to compare"));
    expect(screen.getByText("SHA-256 of “Evenhand hub 1a2b3c”")).toBeTruthy();
    expect(screen.getAllByText("A0 A1 A2 A3")).toHaveLength(2);
    expect(screen.getAllByText("AC AD AE AF")).toHaveLength(2);
  });

  it("makes a new code only when told twice", async () => {
    const { hub } = await aDoor([]);
    await press("New code");
    expect(hub.newCode).not.toHaveBeenCalled();
    await userEvent.click(
      within(screen.getByRole("dialog", { name: "Make a new code?" })).getByRole("button", {
        name: "New code",
      }),
    );
    await settle();
    expect(screen.getByText("QQ22QQ")).toBeTruthy();
    expect(screen.queryByText("KX7P2M")).toBeNull();
  });

  it("knows a seated person by name, accents aside, and lets in with the roles of the plan", async () => {
    const { hub, notebook } = await aDoor([
      device("tablet-1", { name: "ines halvorsen", wants: "caller" }),
    ]);
    expect(
      screen.getByRole<HTMLSelectElement>("combobox", { name: "Who is ines halvorsen?" }).value,
    ).toBe("judge-1");
    const before = notebook.book.size;
    await press("Let ines halvorsen in");
    expect(hub.admit).toHaveBeenCalledWith("chief-token", aGradingId, "tablet-1", {
      person: "judge-1",
      roles: ["judge"],
    });
    expect(notebook.book.size).toBe(before);
    expect(list("Let in").getByText("Inès Halvorsen")).toBeTruthy();
    expect(list("At the door").getByText(/Nobody waits/)).toBeTruthy();
    expect(screen.getByText("ines halvorsen is in.")).toBeTruthy();
  });

  it("seats somebody new in the book before the hub lets them in", async () => {
    const { hub, notebook } = await aDoor([
      device("tablet-2", { name: "Emeka Lund", wants: "caller" }),
    ]);
    await press("Let Emeka Lund in");
    const as = vi.mocked(hub.admit).mock.calls[0]?.[3];
    expect(as?.roles).toEqual(["caller"]);
    expect(notebook.book.plan.seat(as?.person as PersonId)?.roles).toEqual(["caller"]);
    expect(personName(notebook, as?.person as PersonId)).toBe("Emeka Lund");
    expect(JSON.stringify([...notebook.book.entries()])).not.toContain("Emeka");
  });

  it("refuses, and says what the hub did not take", async () => {
    const { hub } = await aDoor([device("tablet-3", { name: "Nobody" })], {
      admit: async () => ({ ok: false, fault: { code: "HUB_UNREACHABLE" } }),
    });
    await press("Let Nobody in");
    expect(screen.getByRole("alert").textContent).toMatch(/hub/i);
    expect(list("At the door").getByText("Nobody")).toBeTruthy();
    await press("Refuse Nobody");
    expect(hub.refuse).toHaveBeenCalledWith("chief-token", aGradingId, "tablet-3");
    expect(list("Outside").getByText("refused")).toBeTruthy();
  });

  it("shows who is there and what only their tablet holds, and shuts out only when told twice", async () => {
    const { hub, notebook } = await aDoor([
      device("tablet-1", { state: "admitted", person: "judge-1" as PersonId, roles: ["judge"] }),
      device("chief-tablet", { state: "admitted", person: "chief" as PersonId, roles: ["chief"] }),
    ]);
    act(() =>
      notebook.heardNews({
        presence: [
          {
            device: "tablet-1" as DeviceId,
            person: "judge-1" as PersonId,
            roles: ["judge"],
            online: false,
            lastSeenAtMs: new Date(2026, 5, 6, 10, 5).getTime(),
            unsent: 4,
          },
        ],
      }),
    );
    const inside = list("Let in");
    expect(inside.getByText("away, last seen 10:05")).toBeTruthy();
    expect(inside.getByText("something is only on that tablet")).toBeTruthy();
    expect(inside.getByText("this device")).toBeTruthy();
    expect(inside.queryByRole("button", { name: /Shut chief/ })).toBeNull();
    await press("Shut Inès Halvorsen out");
    expect(hub.revoke).not.toHaveBeenCalled();
    const dialog = within(screen.getByRole("dialog", { name: "Shut Inès Halvorsen out?" }));
    expect(dialog.getByText(/Something is still only on that tablet/)).toBeTruthy();
    await userEvent.click(dialog.getByRole("button", { name: "Shut out" }));
    await settle();
    expect(hub.revoke).toHaveBeenCalledWith("chief-token", aGradingId, "tablet-1");
    expect(list("Outside").getByText("shut out")).toBeTruthy();
  });

  it("gives a tablet the roles of the plan when they differ", async () => {
    const { hub } = await aDoor([
      device("tablet-1", { state: "admitted", person: "judge-1" as PersonId, roles: ["caller"] }),
    ]);
    expect(screen.getByText("The plan seats Inès Halvorsen as judge.")).toBeTruthy();
    await press("Give Inès Halvorsen the roles of the plan");
    expect(hub.admit).toHaveBeenCalledWith("chief-token", aGradingId, "tablet-1", {
      person: "judge-1",
      roles: ["judge"],
    });
    expect(screen.queryByText(/The plan seats/)).toBeNull();
  });

  it("[Y214] lets whoever judged stay a judge at the door, whatever the plan makes of them, and says what would be lost where a tablet is away", async () => {
    const { notebook, hub } = await aDoor([
      device("tablet-1", {
        ...{ state: "admitted", person: "judge-1" as PersonId, roles: ["judge"] },
      }),
    ]);
    await act(
      async () =>
        void notebook.write("seated", { person: "judge-1" as PersonId, roles: ["caller"] }),
    );
    await settle();
    expect(screen.getByText(/^The plan seats .* as caller, judge\.$/)).toBeTruthy();
    expect(screen.getByText(/Wait until it is here and holds nothing/)).toBeTruthy();
    await userEvent.click(screen.getByRole("button", { name: /the roles of the plan$/ }));
    await settle();
    expect(hub.admit).toHaveBeenCalledWith("chief-token", aGradingId, "tablet-1", {
      person: "judge-1",
      roles: ["caller", "judge"],
    });
  });

  it("has no door without a hub, and leads to the test pack", async () => {
    const { show } = await aSession("chief", ["chief"], aTestDay().plan);
    show(<DoorScreen />);
    expect(screen.getByRole("link", { name: "To the test pack" }).getAttribute("href")).toBe(
      "/tests/grading-1/set-up?step=ready",
    );
  });

  it("shows no code when the test is closed", async () => {
    const { notebook } = await aDoor([]);
    expect(await screen.findByText("KX7P2M")).toBeTruthy();
    await act(async () => notebook.take([aPen("chief", "chief-third").write("closed", {})], []));
    expect(screen.queryByText("KX7P2M")).toBeNull();
    expect(screen.getByRole("heading", { name: "The test is closed" })).toBeTruthy();
  });

  it("lists the chief's own devices, and ends a lost one when told twice", async () => {
    const chief = { sinceMs: Date.UTC(2026, 5, 6, 9), isHubs: true, name: "", tests: [] };
    const devices = [
      { ...chief, id: "a".repeat(64), isThis: false, tests: [aGradingId] },
      { ...chief, id: "b".repeat(64), isThis: true },
    ];
    const endChief = vi.fn<HubDesk["endChief"]>(async () => ({
      ok: true,
      devices: devices.slice(1),
    }));
    await aDoor([], { chiefs: async () => ({ ok: true, devices }), endChief });
    const chiefs = list("Chief examiner’s devices");
    expect(chiefs.getAllByRole("listitem")).toHaveLength(2);
    const [end, ...others] = chiefs.getAllByRole("button");
    expect(others).toEqual([]);
    await userEvent.click(end as HTMLElement);
    expect(endChief).not.toHaveBeenCalled();
    await press("End");
    expect(endChief).toHaveBeenCalledWith("chief-token", "a".repeat(64));
    expect(chiefs.getAllByRole("listitem")).toHaveLength(1);
  });

  it("[T113] knows its own tablet, by whichever test it came in, and does not offer to end it", async () => {
    const since = { sinceMs: Date.UTC(2026, 5, 6, 9), isHubs: true, name: "", isThis: false };
    const idOf = (token: string) => createHash("sha256").update(token).digest("hex");
    const devices = [
      { ...since, id: idOf("chief-token"), tests: [aGradingId] },
      { ...since, id: "a".repeat(64), tests: [] },
    ];
    await aDoor([], { chiefs: async () => ({ ok: true, devices }) });
    const [mine, lost] = await list("Chief examiner’s devices").findAllByRole("listitem");
    await waitFor(() => expect(mine?.textContent).toContain("this tablet too, in 1 other test"));
    expect(within(mine as HTMLElement).queryByRole("button")).toBeNull();
    expect(within(lost as HTMLElement).getByRole("button")).toBeTruthy();
  });

  it("[H185] says that what the hub keeps of a tablet is damaged, beside all others", async () => {
    const devices = [device("tablet-2", {})];
    await aDoor(devices, { devices: async () => ({ ok: true, devices, damaged: 1 }) });
    expect(screen.getByText(/What the hub keeps of one tablet is damaged/)).toBeTruthy();
    expect(list("At the door").getByText("tablet-2")).toBeTruthy();
  });

  it("[Y192] says that a second tablet waits for the person's own, that it may be pressed again, and who denied it", async () => {
    const judge = "judge-1" as PersonId;
    const knocks = device("spare", { name: "Inès Halvorsen" });
    const devices = [
      device("own", { state: "admitted", person: judge, roles: ["judge"] }),
      knocks,
      device("strange", { state: "refused", deniedBy: judge }),
    ];
    await aDoor(devices, {
      admit: async () => {
        knocks.asked = { person: judge, again: knocks.asked !== undefined };
        return { ok: true, state: "asked" };
      },
    });
    expect(screen.getByText(/^Inès Halvorsen has a tablet already\./)).toBeTruthy();
    expect(
      list("Outside").getByText("Inès Halvorsen said on a tablet of theirs: not mine."),
    ).toBeTruthy();
    await press("Let Inès Halvorsen in");
    expect(screen.queryByText("Inès Halvorsen is in.")).toBeNull();
    expect(screen.getByText("Waits for Inès Halvorsen’s own tablet to say yes.")).toBeTruthy();
    await press("Let Inès Halvorsen in");
    expect(screen.getByText(/press “Let in” again/)).toBeTruthy();
  });
});
