/** What the stopwatch saw of one tap, in milliseconds from the moment the finger left the glass. */
export interface TapTimes {
  paint: number;
  stored: number;
}

/**
 * Runs in a page before anything else: from each `pointerup` to the paint after the first change of the document,
 * and to the first writing IndexedDB transaction that completes. The same watch for every page it is put on.
 */
export function stopwatch(): void {
  const page = window as unknown as { taps: Partial<TapTimes>[] };
  page.taps = [];
  let start = 0;
  let now: Partial<TapTimes> | undefined;
  addEventListener(
    "pointerup",
    (event) => {
      start = event.timeStamp;
      now = {};
      page.taps.push(now);
    },
    true,
  );
  addEventListener("DOMContentLoaded", () => {
    new MutationObserver(() => {
      const tap = now;
      if (!tap || tap.paint !== undefined) return;
      tap.paint = -1;
      // After the frame in which the change is drawn.
      requestAnimationFrame(() => {
        const { port1, port2 } = new MessageChannel();
        port1.onmessage = () => {
          tap.paint = performance.now() - start;
        };
        port2.postMessage(0);
      });
    }).observe(document.body, {
      subtree: true,
      childList: true,
      attributes: true,
      characterData: true,
    });
  });
  const transaction = IDBDatabase.prototype.transaction;
  IDBDatabase.prototype.transaction = function (
    this: IDBDatabase,
    ...args: Parameters<typeof transaction>
  ) {
    const made = transaction.apply(this, args);
    if (made.mode === "readwrite") {
      made.addEventListener("complete", () => {
        if (now && now.stored === undefined) now.stored = performance.now() - start;
      });
    }
    return made;
  };
}
