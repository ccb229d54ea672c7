import { describe, expect, it } from "vitest";
import { counted } from "../../src/set-up/counted.mjs";

const clean = {
  numPassedTests: 12,
  numFailedTests: 0,
  numPendingTests: 0,
  numTodoTests: 0,
  testResults: [{ status: "passed", assertionResults: [{ status: "passed" }] }],
};

describe("what npm test counts", () => {
  it("counts a clean run as it is", () => {
    expect(counted(clean, 0)).toEqual({ passed: 12, failed: 0, notes: [] });
  });
  it("counts failed tests, and a failed test's file once only", () => {
    const file = { status: "failed", assertionResults: [{ status: "failed" }] };
    const report = { ...clean, numFailedTests: 1, testResults: [file] };
    expect(counted(report, 1)).toMatchObject({ passed: 12, failed: 1 });
  });
  it("counts a file that could not be run, and a skipped test, as failed", () => {
    const file = { status: "failed", assertionResults: [] };
    expect(counted({ ...clean, testResults: [file] }, 1)).toMatchObject({ failed: 1 });
    const notes = [{ key: "skipped", count: 2 }];
    expect(counted({ ...clean, numPendingTests: 2 }, 0)).toMatchObject({ failed: 2, notes });
  });
  it("never calls a run clean that ended badly or left no report", () => {
    expect(counted(clean, 1).failed).toBe(1);
    expect(counted(undefined, 0).failed).toBe(1);
  });
});
