import { execFileSync } from "node:child_process";
import { X509Certificate } from "node:crypto";
import {
  copyFileSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { connect, createServer, type TLSSocket } from "node:tls";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { HallCertificate } from "../../../src/hub/tls/hall-certificate.ts";
import { hallNames, isOfTheHall } from "../../../src/hub/tls/hall-names.ts";
import { makeAuthority, makeServerCertificate } from "../../../src/hub/tls/make-certificates.ts";

const OPENSSL = "openssl";
const DAY_MS = 24 * 60 * 60 * 1000;
const NAMES = ["localhost", "127.0.0.1", "::1", "hall.local", "192.168.4.20", "fd00::7"];

let folder = "";
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-tls-"));
});
afterEach(() => rmSync(folder, { recursive: true }));

describe("the hub's own authority", () => {
  it("[H40] is of one hub, ten years, and may sign servers only", async () => {
    const now = Date.now();
    const read = new X509Certificate((await makeAuthority(now)).certificate);
    expect(read.ca).toBe(true);
    expect(read.subject).toMatch(/^CN=Evenhand hub [0-9a-f]{6}$/);
    expect(read.issuer).toBe(read.subject);
    const days = (Date.parse(read.validTo) - Date.parse(read.validFrom)) / DAY_MS;
    // Ten years of 365.25 days, and the day before.
    expect(days).toBeCloseTo(3653, 0);
    expect((await makeAuthority(now)).certificate).not.toBe(read.toString());
  });

  it("[H40] keeps its key to whoever runs the hub, and stays the same after a new start", async () => {
    const first = await HallCertificate.open(folder, Date.now());
    await first.serverFor(NAMES, Date.now());
    for (const key of ["authority.key", "server.key"])
      expect(statSync(join(folder, "tls", key)).mode & 0o777).toBe(0o600);
    const again = await HallCertificate.open(folder, Date.now());
    expect(again.fingerprint).toBe(first.fingerprint);
    expect(again.der.includes(Buffer.from("PRIVATE"))).toBe(false);
  });

  it("[H40] is not replaced without a word where it cannot be read", async () => {
    await HallCertificate.open(folder, Date.now());
    const file = join(folder, "tls", "authority.crt");
    writeFileSync(file, "scribble");
    await expect(HallCertificate.open(folder, Date.now())).rejects.toThrow(
      /TRUST_BROKEN.*unreadable/,
    );
    expect(readFileSync(file, "utf8")).toBe("scribble");
  });

  it("[H40] knows the ranges of private addresses and names, and no other", () => {
    // RFC 1918, RFC 3927, RFC 4193, RFC 4291, RFC 6761, RFC 6762; at their edges.
    const inside = ["10.255.255.255", "172.16.0.0", "172.31.255.255", "192.168.0.1", "169.254.9.9"];
    const more = [
      "127.8.8.8",
      "::1",
      "fdff::1",
      "fe80::1",
      "localhost",
      "hall.local",
      "a.localhost",
    ];
    for (const name of [...inside, ...more]) expect(isOfTheHall(name), name).toBe(true);
    const outside = [
      "11.0.0.0",
      "172.15.255.255",
      "172.32.0.0",
      "192.169.0.1",
      "8.8.8.8",
      "2001:db8::1",
    ];
    const named = ["hall.example", "local.example", "notlocal", ""];
    for (const name of [...outside, ...named]) expect(isOfTheHall(name), name).toBe(false);
    const all = hallNames(["Dojo.local", "dojo.example"]);
    expect(all).toContain("dojo.local");
    expect(all).not.toContain("dojo.example");
    expect(all).toEqual(expect.arrayContaining(["localhost", "127.0.0.1", "::1"]));
  });
});

describe("an authority that is not whole, or not of today", () => {
  const tls = (name: string) => join(folder, "tls", name);
  const opened = (nowMs = Date.now()) => HallCertificate.open(folder, nowMs);
  const now = Date.now();

  it.each([
    ["its key is gone", "keyless", () => rmSync(tls("authority.key"))],
    ["its certificate is gone", "alone", () => rmSync(tls("authority.crt"))],
    ["its certificate is empty", "unreadable", () => writeFileSync(tls("authority.crt"), "")],
    ["its key is another's", "misfit", () => copyFileSync(tls("server.key"), tls("authority.key"))],
  ])("[H80] is told, and never replaced without a word: %s", async (_, why, spoil) => {
    await (await opened()).serverFor(NAMES, now);
    spoil();
    const before = readdirSync(join(folder, "tls")).sort();
    await expect(opened()).rejects.toMatchObject({
      fault: { code: "TRUST_BROKEN", with: { why } },
    });
    expect(readdirSync(join(folder, "tls")).sort()).toEqual(before);
  });

  it("[H80] is mended where the hub was killed while it wrote a pair, wherever that was", async () => {
    const first = await opened();
    const server = await first.serverFor(NAMES, now);
    const next = await makeAuthority(now);
    // Killed after each step of writing the next pair: both halves beside, the first in its place, both.
    writeFileSync(tls("authority.crt.new"), next.certificate);
    writeFileSync(tls("authority.key.new"), next.key);
    expect((await opened()).fingerprint).toBe(first.fingerprint);
    renameSync(tls("authority.key.new"), tls("authority.key"));
    const mended = await opened();
    expect(mended.fingerprint).toBe(new X509Certificate(next.certificate).fingerprint256);
    // Half a pair of the server's is made anew: nobody trusts it by itself.
    for (const half of ["server.key", "server.crt"]) {
      rmSync(tls(half));
      const again = await (await opened()).serverFor(NAMES, now);
      expect(again.certificate).not.toBe(server.certificate);
    }
    // The very first start, cut off between the two: nobody has trusted anything yet.
    for (const name of readdirSync(join(folder, "tls"))) rmSync(tls(name));
    writeFileSync(tls("authority.key"), next.key);
    expect((await opened()).notice).toBeUndefined();
  });

  it("[H81] is made anew near its end, with word of it; what is signed ends with the authority and never begins after", async () => {
    const first = await opened();
    const near = now + (3_652 - 40) * DAY_MS;
    const made = (await first.serverFor(NAMES, near)).certificate;
    const last = new X509Certificate(made);
    expect(Date.parse(last.validTo)).toBe(Date.parse(new X509Certificate(first.der).validTo));
    // It cannot be longer: not made again at every look.
    const later = near + 20 * DAY_MS;
    expect((await first.serverFor(NAMES, later)).certificate).toBe(made);
    const over = now + 3_700 * DAY_MS;
    expect((await first.serverFor([...NAMES, "10.9.9.9"], over)).certificate).toBe(made);
    const authority = {
      certificate: readFileSync(tls("authority.crt"), "utf8"),
      key: readFileSync(tls("authority.key"), "utf8"),
    };
    await expect(makeServerCertificate(authority, NAMES, over)).rejects.toThrow(/authority ended/);

    const second = await opened(later);
    expect(second.fingerprint).not.toBe(first.fingerprint);
    expect(second.notice).toMatchObject({ kind: "renewed", name: first.name });
    expect((await opened(later)).notice).toBeUndefined();
    // It was the clock: the one that tablets trust is in its place again.
    const back = await opened(now);
    expect([back.fingerprint, back.notice]).toEqual([first.fingerprint, undefined]);
    expect((await opened(later)).fingerprint).toBe(second.fingerprint);
  });

  it("[H81] keeps one from the future, with word of it, and makes a server's certificate from the future anew", async () => {
    const ahead = await opened(now + 500 * DAY_MS);
    const early = await ahead.serverFor(NAMES, now + 500 * DAY_MS);
    const today = await opened(now);
    expect(today.fingerprint).toBe(ahead.fingerprint);
    expect(today.notice).toMatchObject({ kind: "ahead", name: ahead.name });
    expect((await today.serverFor(NAMES, now)).certificate).toBe(early.certificate);

    rmSync(join(folder, "tls"), { recursive: true });
    const right = await opened(now);
    const wrong = await right.serverFor(NAMES, now + 500 * DAY_MS);
    const mended = await right.serverFor(NAMES, now);
    expect(mended.certificate).not.toBe(wrong.certificate);
    expect(Date.parse(new X509Certificate(mended.certificate).validFrom)).toBeLessThan(now);
  });
});

describe("the server's certificate", () => {
  it("[H41] is at most 397 days long, for a server, for just these names", async () => {
    const now = Date.now();
    const made = await makeServerCertificate(await makeAuthority(now), NAMES, now);
    const read = new X509Certificate(made.certificate);
    expect(read.ca).toBe(false);
    // CA/Browser Forum, Baseline Requirements 6.3.2 at the time of 398 days.
    expect(Date.parse(read.validTo) - Date.parse(read.validFrom)).toBeLessThanOrEqual(397 * DAY_MS);
    // id-kp-serverAuth, RFC 5280 section 4.2.1.12.
    expect(read.keyUsage).toEqual(["1.3.6.1.5.5.7.3.1"]);
    for (const ip of ["127.0.0.1", "::1", "192.168.4.20", "fd00::7"])
      expect(read.checkIP(ip), ip).toBe(ip);
    expect(read.checkHost("hall.local")).toBe("hall.local");
    expect(read.checkIP("192.168.4.21")).toBeUndefined();
  });

  it("[H41] is kept while it serves, and made anew for a new address, near its end and under another authority", async () => {
    const now = Date.now();
    const hall = await HallCertificate.open(folder, now);
    const first = await hall.serverFor(NAMES, now);
    expect(await hall.serverFor(NAMES.slice(2), now)).toBe(first);
    // A new start reads it from the disk.
    const again = await HallCertificate.open(folder, now);
    expect((await again.serverFor(NAMES, now)).certificate).toBe(first.certificate);
    expect(await hall.serverFor(NAMES, now + 365 * DAY_MS)).toBe(first);

    const moved = await hall.serverFor([...NAMES, "10.1.2.3"], now);
    expect(new X509Certificate(moved.certificate).checkIP("10.1.2.3")).toBe("10.1.2.3");
    const old = await hall.serverFor(NAMES, now + 367 * DAY_MS);
    expect(old.certificate).not.toBe(moved.certificate);

    for (const part of ["key", "crt"]) rmSync(join(folder, "tls", `authority.${part}`));
    const other = await HallCertificate.open(folder, now);
    expect(other.fingerprint).not.toBe(hall.fingerprint);
    expect((await other.serverFor(NAMES, now)).certificate).not.toBe(old.certificate);
  });

  it("[H41] is trusted by whoever trusts the authority, and by nobody else", async () => {
    const now = Date.now();
    const authority = await makeAuthority(now);
    const { key, certificate } = await makeServerCertificate(authority, NAMES, now);
    expect(await answered({ key, cert: certificate }, authority.certificate)).toBe("trusted");
    const other = await makeAuthority(now);
    expect(await answered({ key, cert: certificate }, other.certificate)).not.toBe("trusted");
  });

  it("[H40] is refused where it vouches for an address or a name outside the hall", async () => {
    const now = Date.now();
    const authority = await makeAuthority(now);
    // Whoever stole the key would sign this; a browser that heeds name constraints refuses it.
    for (const name of ["school.example", "203.0.113.9", "2001:db8::9"]) {
      const made = await makeServerCertificate(authority, ["127.0.0.1", name], now);
      const answer = await answered(
        { key: made.key, cert: made.certificate },
        authority.certificate,
      );
      expect(answer, name).toMatch(/permitted subtree violation/);
    }
  });

  it("[H41] verifies with openssl, where this machine has it", async (task) => {
    const now = Date.now();
    const authority = await makeAuthority(now);
    const server = await makeServerCertificate(authority, NAMES, now);
    const [root, leaf] = [join(folder, "root.pem"), join(folder, "leaf.pem")];
    writeFileSync(root, authority.certificate);
    writeFileSync(leaf, server.certificate);
    try {
      execFileSync(OPENSSL, ["version"]);
    } catch {
      return task.annotate("no openssl here: the checks by node's TLS above stand alone");
    }
    const more = ["-x509_strict", "-purpose", "sslserver", "-verify_ip", "192.168.4.20"];
    const said = execFileSync(OPENSSL, ["verify", ...more, "-CAfile", root, leaf], {
      encoding: "utf8",
    });
    expect(said).toBe(`${leaf}: OK\n`);
  });
});

/** Whether a client that trusts this authority takes the server; otherwise why not. */
async function answered(server: { key: string; cert: string }, ca: string): Promise<string> {
  const listening = createServer({ ...server, minVersion: "TLSv1.2" }).listen(0, "127.0.0.1");
  listening.on("tlsClientError", () => undefined);
  await new Promise((heard) => listening.once("listening", heard));
  const { port } = listening.address() as { port: number };
  let line: TLSSocket | undefined;
  try {
    return await new Promise<string>((resolve) => {
      line = connect({ host: "127.0.0.1", port, ca });
      line.once("secureConnect", () => resolve("trusted"));
      line.once("error", (error: Error & { code?: string }) => resolve(error.message));
    });
  } finally {
    line?.destroy();
    listening.close();
  }
}
