import { render, screen } from "@testing-library/react";
import userEvent from "@testing-library/user-event";
import { describe, expect, it, vi } from "vitest";
import type { GradingId } from "../../../src/book/identity.ts";
import { heldHere } from "../../../src/tablet/screens/trust/held-here.ts";
import { kindOf } from "../../../src/tablet/screens/trust/kind-of.ts";
import { TrustScreen } from "../../../src/tablet/screens/trust/trust-screen.tsx";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";

type Props = Parameters<typeof TrustScreen>[0];
const SECURE = "https://192.168.1.7:8443";

function show(more: Partial<Props> = {}) {
  const leadTo = vi.fn<Props["leadTo"]>();
  const props: Props = {
    kind: "android",
    host: "192.168.1.7",
    code: "#KX7P2M",
    ask: async () => ({
      ok: true,
      trust: { name: "Evenhand hub 1a2b3c", fingerprint: "AA:BB", port: 8443 },
    }),
    held: async () => [],
    isTrusted: async () => false,
    leadTo,
    ...more,
  };
  render(<TrustScreen {...props} />);
  return leadTo;
}

describe("letting a tablet trust the hub", () => {
  it("shows the steps of this kind of tablet, what to get, and what to compare", async () => {
    show();
    const get = await screen.findByRole("link", { name: "Get the certificate" });
    expect(get.getAttribute("href")).toBe("/trust/evenhand-hub.crt");
    expect(screen.getByText(/Android wants a screen lock/)).toBeTruthy();
    expect(screen.getByText("AA BB")).toBeTruthy();
    await userEvent.click(screen.getByRole("radio", { name: /iPad/ }));
    const profile = screen.getByRole("link", { name: "Get the profile" });
    expect(profile.getAttribute("href")).toBe("/trust/evenhand-hub.mobileconfig");
    expect(screen.getByText(/switch on “Evenhand hub 1a2b3c”/)).toBeTruthy();
  });

  it("says by which name the hub is found too, where it has one", async () => {
    show();
    await screen.findByRole("link", { name: "Get the certificate" });
    expect(screen.queryByText(/also find it as/)).toBeNull();
    const trust = { name: "Evenhand hub 1a2b3c", fingerprint: "AA:BB", port: 8443 };
    const byName = "https://evenhand.local:8443";
    show({ ask: async () => ({ ok: true, trust: { ...trust, byName } }) });
    expect(await screen.findByText(/also find it as https:..evenhand.local:8443,/)).toBeTruthy();
  });

  it("says where the hub was reached before, where that was elsewhere", async () => {
    show();
    await screen.findByRole("link", { name: "Get the certificate" });
    expect(screen.queryByText(/was reached as/)).toBeNull();
    const trust = { name: "Evenhand hub 1a2b3c", fingerprint: "AA:BB", port: 8443 };
    const formerly = ["http://10.0.0.3:8080", "http://10.0.0.2:8080"];
    show({ ask: async () => ({ ok: true, trust: { ...trust, formerly } }) });
    expect(
      await screen.findByText(/reached as http:..10.0.0.3:8080, http:..10.0.0.2:8080 before/),
    ).toBeTruthy();
  });

  it("says what is weaker before it lets anybody go on without", async () => {
    show();
    await userEvent.click(await screen.findByText("Go on without installing"));
    expect(screen.getByText(/cannot start while the hub is away/)).toBeTruthy();
    expect(screen.getByText(/Others in this Wi-Fi can read/)).toBeTruthy();
    const go = screen.getByRole("link", { name: "Go on without" });
    expect(go.getAttribute("href")).toBe("/join#KX7P2M");
  });

  it("leads a tablet that trusts the hub already straight on, with the code", async () => {
    const leadTo = show({ isTrusted: async (origin) => origin === SECURE });
    await vi.waitFor(() => expect(leadTo).toHaveBeenCalledWith(`${SECURE}/join#KX7P2M`));
  });

  it("notices the certificate when it was installed, and waits for a hand to go on", async () => {
    vi.useFakeTimers({ shouldAdvanceTime: true });
    try {
      let isInstalled = false;
      const leadTo = show({ isTrusted: async () => isInstalled });
      await screen.findByRole("link", { name: "Get the certificate" });
      isInstalled = true;
      await vi.advanceTimersByTimeAsync(2_500);
      const go = await screen.findByRole("link", { name: "Go on" });
      expect(screen.getByText("This tablet trusts the hub")).toBeTruthy();
      expect(go.getAttribute("href")).toBe(`${SECURE}/join#KX7P2M`);
      expect(leadTo).not.toHaveBeenCalled();
    } finally {
      vi.useRealTimers();
    }
  });

  it("leads nobody away from lines that no hub has yet, not even where the hub is trusted", async () => {
    const isTrusted = vi.fn(async () => true);
    const leadTo = show({
      isTrusted,
      held: async () => [{ grading: "spring" as GradingId, count: 3 }],
    });
    expect(await screen.findByText(/3 lines of yours lie on this tablet/)).toBeTruthy();
    const open = screen.getByRole("link", { name: "Open the belt test" });
    expect(open.getAttribute("href")).toBe("/tests/spring");
    expect(screen.queryByText("Go on without installing")).toBeNull();
    expect(isTrusted).not.toHaveBeenCalled();
    expect(leadTo).not.toHaveBeenCalled();
  });

  it("goes straight to joining where there is nothing to trust, and says when no hub answers", async () => {
    const leadTo = show({
      ask: async () => ({ ok: true, trust: { name: "hub", fingerprint: "AA", port: null } }),
    });
    await vi.waitFor(() => expect(leadTo).toHaveBeenCalledWith("/join#KX7P2M"));
    show({ ask: async () => ({ ok: false, fault: { code: "HUB_UNREACHABLE" } }) });
    expect((await screen.findByRole("alert")).textContent).toMatch(/The hub does not answer/);
  });
});

describe("what lies under this address", () => {
  it("counts lines that no hub has, of belt tests that have a hub", async () => {
    const { services, notebook } = await aSession("judge-1", ["judge"]);
    const { store } = services;
    const entry = aPen("judge-1", "judge-1-tablet").write("note", { text: "x" } as never);
    await store.keep(aGradingId, [entry]);
    // From a test pack: its file goes to the chief by hand, wherever it lies.
    expect(await heldHere(store)).toEqual([]);
    await store.keepPass({ ...notebook.pass, token: "mine" });
    expect(await heldHere(store)).toEqual([{ grading: aGradingId, count: 1 }]);
    await store.sent(aGradingId, [entry.id]);
    expect(await heldHere(store)).toEqual([]);
  });
});

describe("what sort of device this is", () => {
  it.each([
    ["Mozilla/5.0 (iPad; CPU OS 17_0 like Mac OS X)", 5, "ipad"],
    // iPadOS asks for desktop pages by default and then says this.
    ["Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7)", 5, "ipad"],
    ["Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7)", 0, "laptop"],
    ["Mozilla/5.0 (Linux; Android 14; SM-X200)", 5, "android"],
    ["Mozilla/5.0 (Windows NT 10.0; Win64; x64)", 10, "laptop"],
  ] as const)("takes %s with %i fingers for %s", (userAgent, maxTouchPoints, kind) => {
    expect(kindOf({ userAgent, maxTouchPoints })).toBe(kind);
  });
});
