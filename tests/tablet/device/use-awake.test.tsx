import { renderHook } from "@testing-library/react";
import { afterEach, describe, expect, it, vi } from "vitest";
import { useAwake } from "../../../src/tablet/device/use-awake.ts";

afterEach(() => {
  Reflect.deleteProperty(navigator, "wakeLock");
});

function aWakeLock() {
  const release = vi.fn(async () => undefined);
  const request = vi.fn(async () => ({ release }));
  Object.defineProperty(navigator, "wakeLock", { value: { request }, configurable: true });
  return { request, release };
}

describe("keeping the screen lit", () => {
  it("holds it while somebody marks, takes it again when the page is back, and lets go after", async () => {
    const { request, release } = aWakeLock();
    const { rerender } = renderHook(({ isNeeded }) => useAwake(isNeeded), {
      initialProps: { isNeeded: true },
    });
    await vi.waitFor(() => expect(request).toHaveBeenCalledTimes(1));
    document.dispatchEvent(new Event("visibilitychange"));
    await vi.waitFor(() => expect(request).toHaveBeenCalledTimes(2));
    rerender({ isNeeded: false });
    expect(release).toHaveBeenCalledOnce();
    document.dispatchEvent(new Event("visibilitychange"));
    expect(request).toHaveBeenCalledTimes(2);
  });

  it("asks for nothing elsewhere, and bears a browser that cannot", () => {
    const { request } = aWakeLock();
    renderHook(() => useAwake(false));
    expect(request).not.toHaveBeenCalled();
    Reflect.deleteProperty(navigator, "wakeLock");
    expect(() => renderHook(() => useAwake(true))).not.toThrow();
  });
});
