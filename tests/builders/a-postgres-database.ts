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
