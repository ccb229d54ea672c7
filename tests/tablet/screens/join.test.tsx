import { screen, waitFor } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { useLocation } from "react-router";
import { beforeEach, describe, expect, it, vi } from "vitest";
import type { HubDesk } from "../../../src/ports/hub-desk.ts";
import { JoinScreen } from "../../../src/tablet/screens/join/join-screen.tsx";
import { aGradingId } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";

const Where = () => <output data-testid="where">{useLocation().pathname}</output>;
const page = (
  <>
    <JoinScreen />
    <Where />
  </>
);
const where = () => screen.getByTestId("where").textContent;
const aJoin = () =>
  vi.fn<HubDesk["join"]>(async () => ({ ok: true, token: "my-token", grading: aGradingId }));
const ask = () => userEvent.click(screen.getByRole("button", { name: "Ask to be let in" }));

beforeEach(() => history.replaceState(null, "", "/join"));

describe("joining a belt test", () => {
  it("takes the code from the address, asks with name and role, and waits at the test's own page", async () => {
    history.replaceState(null, "", "/join#kx7p2m");
    const join = aJoin();
    const { show, services } = await aSession("nobody", [], [], { hub: { join } });
    await services.store.forget(aGradingId);
    show(page, "/join");
    // The code is there: the name is what is left to write.
    expect(document.activeElement).toBe(screen.getByLabelText(/Your name/));
    await userEvent.type(screen.getByLabelText(/Your name/), " Emeka Lund ");
    await userEvent.click(screen.getByRole("radio", { name: /Caller/ }));
    await userEvent.keyboard("{Enter}");
    await waitFor(() => expect(where()).toBe("/tests/grading-1"));
    const [code, device, name, wants] = join.mock.calls[0] ?? [];
    expect([code, name, wants]).toEqual(["KX7P2M", "Emeka Lund", "caller"]);
    expect(await services.store.pass(aGradingId)).toMatchObject({
      device,
      roles: [],
      token: "my-token",
      name: "Emeka Lund",
      cursor: 0,
    });
    expect((await services.store.pass(aGradingId))?.person).toBeUndefined();
  });

  it("asks for what is missing before it asks the hub, and says what the hub refused", async () => {
    const join = vi.fn<HubDesk["join"]>(async () => ({
      ok: false,
      fault: { code: "CODE_WRONG" },
    }));
    const { show, services } = await aSession("nobody", [], [], { hub: { join } });
    await services.store.forget(aGradingId);
    show(page, "/join");
    await ask();
    expect(screen.getAllByText("Please fill this in.")).toHaveLength(2);
    expect(join).not.toHaveBeenCalled();
    await userEvent.type(screen.getByLabelText(/Code/), "AAAAAA");
    await userEvent.type(screen.getByLabelText(/Your name/), "Ines");
    await ask();
    expect((await screen.findByRole("alert")).textContent).toMatch(/code/i);
    expect(await services.store.passes()).toEqual([]);
    expect(where()).toBe("/join");
  });

  it("does not put a new place over lines that only this device holds", async () => {
    history.replaceState(null, "", "/join#KX7P2M");
    const { show, services, notebook } = await aSession("judge-1", ["judge"], [], {
      hub: { join: aJoin() },
    });
    await notebook.write("stopped", { wave: 1 });
    show(page, "/join");
    await userEvent.type(screen.getByLabelText(/Your name/), "Somebody Else");
    await ask();
    expect((await screen.findByRole("alert")).textContent).toMatch(/holds 1 line that judge-1/);
    expect(await services.store.pass(aGradingId)).toMatchObject({ person: "judge-1" });
    expect(where()).toBe("/join");
  });

  it("[Y195] saves those lines as a file where the tablet was shut out, and comes in with the same knock", async () => {
    history.replaceState(null, "", "/join#KX7P2M");
    const saved: Blob[] = [];
    vi.spyOn(URL, "createObjectURL").mockImplementation((blob) => {
      saved.push(blob as Blob);
      return "blob:saved";
    });
    const join = aJoin();
    const { show, services, notebook } = await aSession("judge-1", ["judge"], [], {
      hub: { join },
    });
    const { id } = await notebook.write("stopped", { wave: 1 });
    show(page, "/join");
    await userEvent.type(screen.getByLabelText(/Your name/), "Somebody Else");
    await ask();
    await userEvent.click(await screen.findByRole("button", { name: "Save the file and come in" }));
    await waitFor(() => expect(where()).toBe(`/tests/${aGradingId}`));
    expect(join).toHaveBeenCalledTimes(1);
    expect(await saved[0]?.text()).toContain(id);
    const pass = await services.store.pass(aGradingId);
    expect(pass).toMatchObject({ name: "Somebody Else", roles: [] });
    expect(pass?.person).toBeUndefined();
    expect((await services.store.outbox(aGradingId)).entries).toEqual([]);
  });

  it("survives an address that is no code", async () => {
    history.replaceState(null, "", "/join#%E0%A4%A");
    (await aSession("nobody", [])).show(page, "/join");
    expect(screen.getByLabelText<HTMLInputElement>(/Code/).value).toBe("");
  });

  describe("on a line that is not encrypted", () => {
    it("says what is weaker, and leads with the code to where that is mended, if the hub can", async () => {
      history.replaceState(null, "", "/join#KX7P2M");
      const { show } = await aSession("nobody", [], [], {
        hub: {
          trust: async () => ({
            ok: true,
            trust: { name: "hub", fingerprint: "AA", port: 8443 },
          }),
        },
      });
      show(page, "/join");
      await userEvent.click(screen.getByText("This line is not encrypted"));
      expect(screen.getByText(/Others in this Wi-Fi can read/)).toBeTruthy();
      const mend = await screen.findByRole("link", { name: "Make it encrypted" });
      expect(mend.getAttribute("href")).toBe("/trust#KX7P2M");
    });

    it("offers nothing that the hub does not have", async () => {
      const trust = vi.fn<HubDesk["trust"]>(async () => ({
        ok: false,
        fault: { code: "HUB_UNREACHABLE" },
      }));
      const { show } = await aSession("nobody", [], [], { hub: { trust } });
      show(page, "/join");
      await waitFor(() => expect(trust).toHaveBeenCalled());
      expect(screen.getByText("This line is not encrypted")).toBeTruthy();
      expect(screen.queryByRole("link", { name: "Make it encrypted" })).toBeNull();
    });
  });

  it("tells an iPad over TLS to put the app on the home screen first, with the code to type there", async () => {
    history.replaceState(null, "", "/join#KX7P2M");
    vi.stubGlobal("isSecureContext", true);
    Object.defineProperty(navigator, "standalone", { value: false, configurable: true });
    try {
      const { show } = await aSession("nobody", []);
      show(page, "/join");
      expect(screen.getByText(/join with the code KX7P2M\./)).toBeTruthy();
      expect(screen.queryByText("This line is not encrypted")).toBeNull();
    } finally {
      Reflect.deleteProperty(navigator, "standalone");
      vi.unstubAllGlobals();
    }
  });
});
