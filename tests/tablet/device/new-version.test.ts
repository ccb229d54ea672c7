import { describe, expect, it, vi } from "vitest";
import { NewVersion } from "../../../src/tablet/device/new-version.ts";

/** A browser's service workers, with what a test does to them. */
function aBrowser(has: { controller?: boolean; waiting?: boolean } = {}) {
  const worker = () => Object.assign(new EventTarget(), { postMessage: vi.fn() });
  const registration = Object.assign(new EventTarget(), {
    waiting: has.waiting ? worker() : null,
    installing: null as ReturnType<typeof worker> | null,
  });
  const container = Object.assign(new EventTarget(), {
    controller: has.controller ? {} : null,
    register: vi.fn(async () => registration),
  });
  return {
    workers: container as unknown as ServiceWorkerContainer,
    register: container.register,
    registration,
    takesOver: () => container.dispatchEvent(new Event("controllerchange")),
    finds() {
      const next = worker();
      registration.installing = next;
      registration.dispatchEvent(new Event("updatefound"));
      registration.installing = null;
      registration.waiting = next;
      next.dispatchEvent(new Event("statechange"));
      return next;
    },
  };
}

describe("the next version of the app", () => {
  it("waits, says so, and reloads nothing by itself", async () => {
    const browser = aBrowser({ controller: true });
    const version = new NewVersion();
    const told = vi.fn();
    version.subscribe(told);
    await version.keepApp(browser.workers);
    expect(browser.register).toHaveBeenCalledWith("/sw.js");
    expect(version.isWaiting()).toBe(false);
    const next = browser.finds();
    expect(version.isWaiting()).toBe(true);
    expect(told).toHaveBeenCalledOnce();
    expect(next.postMessage).not.toHaveBeenCalled();
  });

  it("starts when a person says so, and reloads once it is the one that answers", async () => {
    const browser = aBrowser({ controller: true, waiting: true });
    const version = new NewVersion();
    await version.keepApp(browser.workers);
    const reload = vi.fn();
    browser.takesOver();
    version.start(reload);
    expect(browser.registration.waiting?.postMessage).toHaveBeenCalledWith({
      type: "SKIP_WAITING",
    });
    expect(reload).not.toHaveBeenCalled();
    browser.takesOver();
    browser.takesOver();
    expect(reload).toHaveBeenCalledOnce();
  });

  it("says nothing of the first version ever, nor where there are no workers or none is allowed", async () => {
    const first = new NewVersion();
    const browser = aBrowser();
    await first.keepApp(browser.workers);
    browser.finds();
    expect(first.isWaiting()).toBe(false);
    const none = new NewVersion();
    await none.keepApp(undefined);
    await none.keepApp({
      register: async () => Promise.reject(new Error("private window")),
    } as unknown as ServiceWorkerContainer);
    none.start(() => expect.unreachable());
    expect(none.isWaiting()).toBe(false);
  });
});
