type Workers = Pick<ServiceWorkerContainer, "register" | "controller" | "addEventListener">;

/**
 * The app on this device's disk, so that it opens without the hub; and the next version of it, which lies ready until a
 * person starts it or every window of the app was closed. It never takes the place of the one somebody is marking with.
 */
export class NewVersion {
  #waiting: ServiceWorker | undefined;
  #workers: Workers | undefined;
  readonly #listeners = new Set<() => void>();

  /** @param workers  the browser's; there are none on a line that is not encrypted. */
  async keepApp(workers: Workers | undefined): Promise<void> {
    if (!workers) return;
    this.#workers = workers;
    // In a private window, or with the disk full, the browser refuses: the app then opens from the hub only.
    const registration = await workers.register("/sw.js").catch(() => undefined);
    if (!registration) return;
    const look = () => {
      // The first one ever has nobody to wait for.
      const next = workers.controller ? (registration.waiting ?? undefined) : undefined;
      if (next === this.#waiting) return;
      this.#waiting = next;
      for (const listener of this.#listeners) listener();
    };
    look();
    registration.addEventListener("updatefound", () =>
      registration.installing?.addEventListener("statechange", look),
    );
  }

  readonly isWaiting = (): boolean => this.#waiting !== undefined;
  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  };

  /** A person said so. @param reload  once the new version is the one that answers. */
  start(reload: () => void): void {
    if (!this.#waiting) return;
    this.#workers?.addEventListener("controllerchange", reload, { once: true });
    this.#waiting.postMessage({ type: "SKIP_WAITING" });
  }
}

/** This device's. */
export const newVersion = new NewVersion();
