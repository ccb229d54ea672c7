import "reflect-metadata";
import { isIP } from "node:net";
import * as x509 from "@peculiar/x509";
import { hallConstraints, NAME_CONSTRAINTS } from "./name-constraints.ts";

const DAY_MS = 24 * 60 * 60 * 1000;
const AUTHORITY_DAYS = 3_652;
/** Browsers take no longer from a server; 397 days with the one before. */
const SERVER_DAYS = 396;
/** A tablet whose clock is a little behind must not find a certificate of tomorrow. */
const EARLIER_MS = DAY_MS;
const CURVE = { name: "ECDSA", namedCurve: "P-256" } as const;
const SIGNED = { name: "ECDSA", hash: "SHA-256" } as const;

/** A certificate and its private key, each as PEM. */
export interface Pair {
  certificate: string;
  key: string;
}

/** A certificate authority for one hub: ten years, for servers in the hall only. Its name tells two hubs apart in a tablet's settings. */
export async function makeAuthority(nowMs: number): Promise<Pair> {
  const keys = await crypto.subtle.generateKey(CURVE, true, ["sign", "verify"]);
  const mark = Buffer.from(crypto.getRandomValues(new Uint8Array(3))).toString("hex");
  const certificate = await x509.X509CertificateGenerator.createSelfSigned({
    serialNumber: serial(),
    // Without a common name iPadOS does not list it where it has to be switched on.
    name: [{ CN: [`Evenhand hub ${mark}`] }],
    notBefore: new Date(nowMs - EARLIER_MS),
    notAfter: new Date(nowMs + AUTHORITY_DAYS * DAY_MS),
    signingAlgorithm: SIGNED,
    keys,
    extensions: [
      new x509.BasicConstraintsExtension(true, 0, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.keyCertSign, true),
      new x509.Extension(NAME_CONSTRAINTS, true, hallConstraints()),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
    ],
  });
  return { certificate: certificate.toString("pem"), key: await keyPem(keys.privateKey) };
}

/** A certificate for this hub's server, good for exactly these addresses and names. @throws RangeError where the authority has ended. */
export async function makeServerCertificate(
  authority: Pair,
  names: readonly string[],
  nowMs: number,
): Promise<Pair> {
  const issuer = new x509.X509Certificate(authority.certificate);
  // Never a day outside the authority's own.
  const from = Math.max(nowMs - EARLIER_MS, issuer.notBefore.getTime());
  const until = Math.min(from + EARLIER_MS + SERVER_DAYS * DAY_MS, issuer.notAfter.getTime());
  if (until <= from || nowMs >= issuer.notAfter.getTime())
    throw new RangeError(
      `makeServerCertificate: the authority ended ${issuer.notAfter.toISOString()}`,
    );
  const signingKey = await crypto.subtle.importKey(
    "pkcs8",
    x509.PemConverter.decodeFirst(authority.key),
    CURVE,
    false,
    ["sign"],
  );
  const keys = await crypto.subtle.generateKey(CURVE, true, ["sign", "verify"]);
  const certificate = await x509.X509CertificateGenerator.create({
    serialNumber: serial(),
    subject: [{ CN: ["Evenhand hub server"] }],
    issuer: issuer.subjectName,
    notBefore: new Date(from),
    notAfter: new Date(until),
    signingAlgorithm: SIGNED,
    publicKey: keys.publicKey,
    signingKey,
    extensions: [
      new x509.BasicConstraintsExtension(false, undefined, true),
      new x509.KeyUsagesExtension(x509.KeyUsageFlags.digitalSignature, true),
      new x509.ExtendedKeyUsageExtension([x509.ExtendedKeyUsage.serverAuth]),
      new x509.SubjectAlternativeNameExtension(
        names.map((value) => ({ type: isIP(value) ? ("ip" as const) : ("dns" as const), value })),
      ),
      await x509.AuthorityKeyIdentifierExtension.create(issuer.publicKey),
      await x509.SubjectKeyIdentifierExtension.create(keys.publicKey),
    ],
  });
  return { certificate: certificate.toString("pem"), key: await keyPem(keys.privateKey) };
}

/** Sixteen bytes by chance, never negative (RFC 5280 section 4.1.2.2). */
function serial(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  bytes[0] = ((bytes[0] ?? 0) & 0x7f) | 0x40;
  return Buffer.from(bytes).toString("hex");
}

async function keyPem(key: CryptoKey): Promise<string> {
  return x509.PemConverter.encode(await crypto.subtle.exportKey("pkcs8", key), "PRIVATE KEY");
}
