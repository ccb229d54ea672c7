import { X509Certificate } from "node:crypto";
import { chmodSync, mkdirSync } from "node:fs";
import { isIP } from "node:net";
import { join } from "node:path";
import { FaultError } from "../../book/faults.ts";
import { type AuthorityNotice, keptAuthority, RENEW_BEFORE_MS } from "./kept-authority.ts";
import { keepPair, readPair } from "./kept-pair.ts";
import { makeServerCertificate, type Pair } from "./make-certificates.ts";

/** The authority that tablets trust once, and the server certificate under it; both lie in the data folder and their keys never leave it. */
export class HallCertificate {
  readonly #folder: string;
  readonly #authority: Pair;
  readonly #read: X509Certificate;
  #server: Pair | undefined;
  /** What whoever runs the hub must be told of the authority. */
  readonly notice: AuthorityNotice | undefined;

  private constructor(
    folder: string,
    authority: Pair,
    server: Pair | undefined,
    notice: AuthorityNotice | undefined,
  ) {
    this.notice = notice;
    this.#folder = folder;
    this.#authority = authority;
    this.#read = new X509Certificate(authority.certificate);
    this.#server = server;
  }

  /**
   * Makes the authority where there is none, or where the last one ends.
   * @throws FaultError TRUST_BROKEN where the one that lies there is not whole; STORE_LOST where the folder cannot be read or written.
   */
  static async open(dataFolder: string, nowMs: number): Promise<HallCertificate> {
    const folder = join(dataFolder, "tls");
    return orLost(folder, async () => {
      mkdirSync(folder, { recursive: true, mode: 0o700 });
      chmodSync(folder, 0o700);
      const { pair, notice } = await keptAuthority(folder, nowMs);
      const server = readPair(folder, "server");
      // A broken pair of the server is made anew under the same authority: nobody trusts it by itself.
      const kept = server.kind === "whole" ? server.pair : undefined;
      return new HallCertificate(folder, pair, kept, notice);
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

  /**
   * A server certificate that is good for all these addresses and names: the one in use, or a new one under the same authority.
   * Where the authority has ended while the hub ran, the last one: nothing is signed after it, and the next start makes another.
   */
  async serverFor(names: readonly string[], nowMs: number): Promise<Pair> {
    const isOver = nowMs >= Date.parse(this.#read.validTo);
    if (this.#server && (isOver || this.#isGood(this.#server, names, nowMs))) return this.#server;
    return orLost(this.#folder, async () => {
      const made = await makeServerCertificate(this.#authority, names, nowMs);
      keepPair(this.#folder, "server", made);
      this.#server = made;
      return made;
    });
  }

  #isGood({ certificate }: Pair, names: readonly string[], nowMs: number): boolean {
    const server = new X509Certificate(certificate);
    const until = Date.parse(server.validTo);
    // None lasts longer than the authority does; and none under one that is ahead begins before it.
    const isLast = until >= Date.parse(this.#read.validTo) && until > nowMs;
    const begins = Math.max(nowMs, Date.parse(this.#read.validFrom));
    return (
      Date.parse(server.validFrom) <= begins &&
      (until - nowMs > RENEW_BEFORE_MS || isLast) &&
      server.verify(this.#read.publicKey) &&
      names.every(
        (name) => (isIP(name) ? server.checkIP(name) : server.checkHost(name)) !== undefined,
      )
    );
  }
}

async function orLost<Result>(file: string, work: () => Promise<Result>): Promise<Result> {
  try {
    return await work();
  } catch (error) {
    if (error instanceof FaultError) throw error;
    throw new FaultError({ code: "STORE_LOST", with: { file } }, { cause: error });
  }
}
