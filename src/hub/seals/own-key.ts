import { createPublicKey } from "node:crypto";
import { FaultError } from "../../book/faults.ts";
import type { DoorTables } from "../../ports/door-tables.ts";

/**
 * The hub's own private key (PKCS #8, PEM), as it lies in its store.
 *
 * @returns undefined where the store has none
 * @throws FaultError KEY_DAMAGED where it is not the one that this hub's public key was made of: nothing signed or shut away with it would be known again
 */
export async function ownKey(tables: Pick<DoorTables, "setting">): Promise<string | undefined> {
  const key = await tables.setting("private-key");
  if (key === undefined) return undefined;
  const kept = await tables.setting("public-key");
  if (kept !== undefined && publicOf(key) !== kept) throw new FaultError({ code: "KEY_DAMAGED" });
  return key;
}

/** The public key of a private one; undefined where it is none. */
function publicOf(privateKey: string): string | undefined {
  try {
    return createPublicKey(privateKey).export({ type: "spki", format: "pem" }).toString();
  } catch {
    return undefined;
  }
}
