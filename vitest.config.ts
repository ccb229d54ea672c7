import react from "@vitejs/plugin-react";
import { defineConfig } from "vitest/config";

export default defineConfig({
  test: {
    projects: [
      {
        test: {
          name: "core",
          environment: "node",
          include: ["tests/**/*.test.ts"],
          exclude: ["tests/journeys/**", "tests/tablet/**"],
        },
      },
      {
        plugins: [react()],
        test: {
          name: "screens",
          environment: "jsdom",
          include: ["tests/tablet/**/*.test.{ts,tsx}"],
          setupFiles: ["tests/tools/screen-set-up.ts"],
        },
      },
      {
        test: {
          name: "journeys",
          environment: "node",
          include: ["tests/journeys/**/*.test.ts"],
          testTimeout: 180_000,
          hookTimeout: 180_000,
          fileParallelism: false,
        },
      },
    ],
  },
});
