export interface RunReport {
  numPassedTests: number;
  numFailedTests: number;
  numPendingTests: number;
  numTodoTests: number;
  testResults: { status: string; assertionResults: { status: string }[] }[];
}
export function counted(
  report: RunReport | undefined,
  exitCode: number,
): { passed: number; failed: number; notes: { key: string; count: number }[] };
