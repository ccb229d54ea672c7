/**
 * What a test run comes to. Tests that failed, files that could not be run, skipped tests,
 * and a run that ended badly for no test's sake all count as failed.
 * @param report the runner's JSON report; undefined when it left none.
 */
export function counted(report, exitCode) {
  if (!report) return { passed: 0, failed: 1, notes: [{ key: "no-report", count: 1 }] };
  const skipped = report.numPendingTests + report.numTodoTests;
  const broken = report.testResults.filter(
    ({ status, assertionResults }) =>
      status === "failed" && assertionResults.every((one) => one.status !== "failed"),
  ).length;
  const failed = report.numFailedTests + broken + skipped;
  return {
    passed: report.numPassedTests,
    failed: failed === 0 && exitCode !== 0 ? 1 : failed,
    notes: [
      { key: "skipped", count: skipped },
      { key: "broken-files", count: broken },
    ].filter(({ count }) => count > 0),
  };
}
