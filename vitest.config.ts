import { availableParallelism } from "node:os";
import react from "@vitejs/plugin-react";
import { defineConfig } from "vitest/config";

/** A worker reads the sources once for all its files: half of the time went into reading them anew. No file may change what others see. */
const together = { isolate: false };

export default defineConfig({
  test: {
    // Tests wait for hubs and commands of their own: with as many workers as a small machine has cores a third of it stands still.
    maxWorkers: Math.max(3, availableParallelism()),
    projects: [
      {
        test: {
          name: "core",
          ...together,
          environment: "node",
          include: ["tests/**/*.test.ts"],
          exclude: ["tests/journeys/**", "tests/tablet/**", "tests/**/*postgres*.test.ts"],
          // Several start a command of their own, and a slow machine may have two cores.
          testTimeout: 30_000,
          hookTimeout: 30_000,
        },
      },
      {
        // A test file with "postgres" in its name is given a server.
        test: {
          name: "postgres",
          ...together,
          environment: "node",
          include: ["tests/**/*postgres*.test.ts"],
          globalSetup: ["tests/tools/postgres-set-up.ts"],
          testTimeout: 30_000,
          hookTimeout: 30_000,
        },
      },
      {
        plugins: [react()],
        test: {
          name: "screens",
          ...together,
          environment: "jsdom",
          include: ["tests/tablet/**/*.test.{ts,tsx}"],
          exclude: ["tests/tablet/**/*.apart.test.tsx"],
          setupFiles: ["tests/tools/screen-set-up.ts"],
          testTimeout: 30_000,
        },
      },
      {
        plugins: [react()],
        // What puts a module in another's place must not be seen by other files.
        test: {
          name: "apart",
          environment: "jsdom",
          include: ["tests/tablet/**/*.apart.test.tsx"],
          setupFiles: ["tests/tools/screen-set-up.ts"],
          isolate: true,
        },
      },
      {
        test: {
          name: "journeys",
          ...together,
          environment: "node",
          include: ["tests/journeys/**/*.test.ts"],
          globalSetup: ["tests/tools/app-set-up.ts"],
          testTimeout: 180_000,
          hookTimeout: 180_000,
          // Each has a hall of its own; more than two halls at once wait for one another. They come last: what is weighed wants quiet.
          maxWorkers: 2,
          sequence: { groupOrder: 1 },
        },
      },
    ],
  },
});
