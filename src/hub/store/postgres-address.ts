/** Whether this is the address of a PostgreSQL database, with host and name: `postgres://user@host/database`. */
export function isPostgresAddress(address: string): boolean {
  try {
    const { protocol, host, pathname } = new URL(address);
    return /^postgres(ql)?:$/.test(protocol) && host !== "" && pathname.length > 1;
  } catch {
    return false;
  }
}

/** The address as it may be shown to anybody: never a user, never a password. */
export function shownAddress(address: string): string {
  try {
    const { host, pathname } = new URL(address);
    return `postgres://${host}${pathname}`;
  } catch {
    return "postgres://…";
  }
}

/** The same address for a command line, which everybody on the machine can read, and the password by itself. */
export function withoutPassword(address: string): { store: string; password?: string } {
  const url = new URL(address);
  const given = url.searchParams.get("password") ?? decodeURIComponent(url.password);
  url.password = "";
  url.searchParams.delete("password");
  return { store: url.href, ...(given && { password: given }) };
}
