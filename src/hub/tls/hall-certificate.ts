import { X509Certificate } from "node:crypto";
import { existsSync, mkdirSync, readFileSync, renameSync, writeFileSync } from "node:fs";
import { isIP } from "node:net";
import { join } from "node:path";
import { FaultError } from "../../core/faults.ts";
import { makeAuthority, makeServerCertificate, type Pair } from "./make-certificates.ts";

/** A server certificate is made anew this long before its end. */
const RENEW_BEFORE_MS = 30 * 24 * 60 * 60 * 1000;

/** The authority that tablets trust once, and the server certificate under it; both lie in the data folder and their keys never leave it. */
export class HallCertificate {
  readonly #folder: string;
  readonly #authority: Pair;
  readonly #read: X509Certificate;
  #server: Pair | undefined;

  private constructor(folder: string, authority: Pair, server: Pair | undefined) {
    this.#folder = folder;
    this.#authority = authority;
    this.#read = new X509Certificate(authority.certificate);
    this.#server = server;
  }

  /** Makes the authority where there is none. @throws FaultError STORE_LOST where what lies there cannot be read or written. */
  static async open(dataFolder: string, nowMs: number): Promise<HallCertificate> {
    const folder = join(dataFolder, "tls");
    return orLost(folder, async () => {
      mkdirSync(folder, { recursive: true, mode: 0o700 });
      const kept = readPair(folder, "authority");
      const authority = kept ?? (await makeAuthority(nowMs));
      if (!kept) keepPair(folder, "authority", authority);
      return new HallCertificate(folder, authority, readPair(folder, "server"));
    });
  }

  /** The authority's certificate as DER, for a tablet to install. */
  get der(): Buffer {
    return this.#read.raw;
  }
  /** What a tablet's settings call the authority. */
  get name(): string {
    return this.#read.subject.replace(/^CN=/, "");
  }
  /** SHA-256 of the certificate, as settings show it: pairs of hexadecimal digits with colons. */
  get fingerprint(): string {
    return this.#read.fingerprint256;
  }

  /** A server certificate that is good for all these addresses and names: the one in use, or a new one under the same authority. */
  async serverFor(names: readonly string[], nowMs: number): Promise<Pair> {
    if (this.#server && this.#isGood(this.#server, names, nowMs)) return this.#server;
    return orLost(this.#folder, async () => {
      const made = await makeServerCertificate(this.#authority, names, nowMs);
      keepPair(this.#folder, "server", made);
      this.#server = made;
      return made;
    });
  }

  #isGood({ certificate }: Pair, names: readonly string[], nowMs: number): boolean {
    const server = new X509Certificate(certificate);
    return (
      Date.parse(server.validTo) - nowMs > RENEW_BEFORE_MS &&
      server.verify(this.#read.publicKey) &&
      names.every(
        (name) => (isIP(name) ? server.checkIP(name) : server.checkHost(name)) !== undefined,
      )
    );
  }
}

function readPair(folder: string, name: string): Pair | undefined {
  const files = [join(folder, `${name}.crt`), join(folder, `${name}.key`)] as const;
  if (!files.every((file) => existsSync(file))) return undefined;
  const pair = { certificate: readFileSync(files[0], "utf8"), key: readFileSync(files[1], "utf8") };
  // Throws where it is no certificate: a hub must not take another authority without a word.
  new X509Certificate(pair.certificate);
  return pair;
}

/** The key first, so that a certificate never lies there without it. */
function keepPair(folder: string, name: string, { certificate, key }: Pair): void {
  keep(join(folder, `${name}.key`), key, 0o600);
  keep(join(folder, `${name}.crt`), certificate, 0o644);
}
function keep(file: string, text: string, mode: number): void {
  writeFileSync(`${file}.new`, text, { mode });
  renameSync(`${file}.new`, file);
}

async function orLost<Result>(file: string, work: () => Promise<Result>): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    throw new FaultError({ code: "STORE_LOST", with: { file } }, { cause: error });
  }
}
