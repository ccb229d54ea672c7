import { randomBytes } from "node:crypto";
import pg from "pg";
import { inject } from "vitest";

/** A new empty database on the server of this test run. @returns its address. */
export async function aPostgresDatabase(): Promise<string> {
  const server = inject("postgres");
  const name = `test_${randomBytes(6).toString("hex")}`;
  await runSql(server, `CREATE DATABASE ${name}`);
  return server.replace(/\/postgres$/, `/${name}`);
}

/** Runs a statement as an administrator would, by hand. */
export async function runSql(url: string, sql: string): Promise<Record<string, unknown>[]> {
  const client = new pg.Client({ connectionString: url });
  await client.connect();
  try {
    return (await client.query(sql)).rows;
  } finally {
    await client.end();
  }
}

/** Somebody with exactly the rights that docs/federation.md gives a hub, and none of the owner's. @returns the database's address as theirs. */
export async function asAHallOf(url: string): Promise<string> {
  const address = new URL(url);
  const role = `hall_${address.pathname.slice(-6)}`;
  await runSql(
    url,
    `CREATE ROLE ${role} LOGIN PASSWORD 'hall';
      GRANT SELECT, INSERT ON entries TO ${role};
      GRANT SELECT, INSERT, DELETE ON sides, unswept TO ${role};
      GRANT SELECT, INSERT, UPDATE, DELETE ON settings, chiefs, gradings, devices TO ${role}`,
  );
  [address.username, address.password] = [role, "hall"];
  return address.href;
}
