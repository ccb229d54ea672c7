/**
 * What `npm audit --json` came to: which packages that run with Evenhand are known to be dangerous (severity high or critical),
 * or that nobody could be asked. Only a whole report counts as an answer.
 */
export function audited(said) {
  let report;
  try {
    report = JSON.parse(said);
  } catch {
    return { kind: "not-asked", why: firstLine(said) };
  }
  if (typeof report?.metadata?.vulnerabilities?.total !== "number")
    return { kind: "not-asked", why: firstLine(report?.message ?? report?.error?.summary ?? "") };
  const dangerous = Object.values(report.vulnerabilities ?? {})
    .filter(({ severity }) => severity === "high" || severity === "critical")
    .map(({ name }) => name)
    .sort();
  return dangerous.length > 0 ? { kind: "dangerous", packages: dangerous } : { kind: "sound" };
}

const firstLine = (text) => String(text).trim().split("\n")[0].slice(0, 200);
