/** What this needs of the browser. */
export interface ThisBrowser {
  fetch: typeof fetch;
  caches: Pick<CacheStorage, "keys" | "delete"> | undefined;
  workers: Pick<ServiceWorkerContainer, "getRegistrations"> | undefined;
}

/**
 * Throws away what this device keeps of the app, and fetches all of it from the hub, past every cache. What was marked lies elsewhere and is
 * not touched. @returns false where no hub answers: then everything stays as it was.
 */
export async function fetchAnew({ fetch, caches, workers }: ThisBrowser): Promise<boolean> {
  const isThere = await fetch("/health", { cache: "no-store" }).then(
    ({ ok }) => ok,
    () => false,
  );
  if (!isThere) return false;
  for (const worker of (await workers?.getRegistrations()) ?? []) await worker.unregister();
  for (const name of (await caches?.keys()) ?? []) await caches?.delete(name);
  const past = { cache: "reload" } as const;
  const list = await fetch("/sw.js", past).then(
    (answer) => answer.text(),
    () => "",
  );
  const files = [...list.matchAll(/"?url"?:\s*"([^"]+)"/g)].map(([, path = ""]) => `/${path}`);
  await Promise.all(["/", ...files].map((path) => fetch(path, past).catch(() => undefined)));
  return true;
}
