/**
 * The hubs to try, in order: the one this page came from, then the others that serve the same test.
 * A page that came over TLS may speak to such only: a browser refuses the rest, so it is not asked to.
 */
export function hubsFrom(here: string, others: readonly string[] = []): string[] {
  const scheme = `${new URL(here).protocol}//`;
  return [...new Set([here, ...others.filter((origin) => origin.startsWith(scheme))])];
}
