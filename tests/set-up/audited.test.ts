import { describe, expect, it } from "vitest";
import { audited } from "../../src/set-up/audited.mjs";

/** The shape of npm 10's report, https://docs.npmjs.com/cli/v10/commands/npm-audit; the package is invented. */
const report = (severity: string) =>
  JSON.stringify({
    auditReportVersion: 2,
    vulnerabilities: { "an-invented-package": { name: "an-invented-package", severity, via: [] } },
    metadata: { vulnerabilities: { info: 0, low: 0, moderate: 0, high: 0, critical: 0, total: 1 } },
  });

describe("asking whether packages are dangerous", () => {
  it("names those of high and critical severity, and bears the others", () => {
    const found = { kind: "dangerous", packages: ["an-invented-package"] };
    expect(audited(report("high"))).toEqual(found);
    expect(audited(report("critical"))).toEqual(found);
    expect(audited(report("moderate"))).toEqual({ kind: "sound" });
  });
  it("takes no answer for no danger only where there was a whole report", () => {
    // What a registry without audits, no network, and something else altogether answer.
    for (const said of [
      '{"message":"405 Method Not Allowed - POST https://registry.example/","method":"POST","statusCode":405}',
      '{"error":{"code":"ENOTFOUND","summary":"no network","detail":""}}',
      "npm error audit endpoint returned an error\nmore",
      "",
      "{}",
      "null",
      '{"vulnerabilities":{}}',
    ])
      expect([said, audited(said).kind]).toEqual([said, "not-asked"]);
    expect(audited('{"message":"405 Method Not Allowed"}')).toMatchObject({
      why: "405 Method Not Allowed",
    });
  });
});
