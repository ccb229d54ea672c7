import { useEffect } from "react";

/** Keeps the screen lit while it is looked at. Browsers allow it on encrypted lines only, and let go of it whenever the page is hidden. */
export function useAwake(isNeeded: boolean): void {
  useEffect(() => {
    if (!isNeeded || !navigator.wakeLock) return;
    let isHere = true;
    let lock: WakeLockSentinel | undefined;
    const hold = async () => {
      if (document.visibilityState !== "visible") return;
      // Refused where the battery is low; the device's own time-out then counts.
      lock = await navigator.wakeLock.request("screen").catch(() => undefined);
      if (!isHere) void lock?.release();
    };
    void hold();
    document.addEventListener("visibilitychange", hold);
    return () => {
      isHere = false;
      document.removeEventListener("visibilitychange", hold);
      void lock?.release();
    };
  }, [isNeeded]);
}
