import type { TestProject } from "vitest/node";
import { APostgres } from "../builders/a-postgres.ts";

declare module "vitest" {
  export interface ProvidedContext {
    postgres: string;
  }
}

/** Starts one PostgreSQL for all test files that ask for it, and stops it after them. */
export async function setup(project: TestProject): Promise<() => Promise<void>> {
  const server = await APostgres.start({ hurries: true });
  project.provide("postgres", server.url);
  return () => server.stop();
}
