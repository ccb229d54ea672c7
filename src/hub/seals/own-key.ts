import { createPublicKey } from "node:crypto";
import { type Fault, FaultError } from "../../book/faults.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import { HeldBox } from "./held-box.ts";

/**
 * The hub's own private key (PKCS #8, PEM), as it lies in its store.
 *
 * @returns undefined where the store has none
 * @throws FaultError KEY_DAMAGED where it is not the one that this hub's public key was made of: nothing signed or shut away with it would be known again
 */
export async function ownKey(tables: Pick<DoorTables, "setting">): Promise<string | undefined> {
  const key = await tables.setting("private-key");
  const kept = await tables.setting("public-key");
  if (!fits(key, kept)) throw new FaultError({ code: "KEY_DAMAGED" });
  return key;
}

/** The fault of a store whose key is damaged; undefined where it is not. */
export async function keyFault(tables: Pick<DoorTables, "setting">): Promise<Fault | undefined> {
  try {
    await ownKey(tables);
    return undefined;
  } catch (error) {
    if (error instanceof FaultError && error.fault.code === "KEY_DAMAGED") return error.fault;
    throw error;
  }
}

/** Whether a hub's two keys are a pair; the private one is made first, and may be alone for a moment. */
export const fits = (privateKey: string | undefined, publicKey: string | undefined): boolean =>
  publicKey === undefined || (privateKey !== undefined && publicOf(privateKey) === publicKey);

/** The public key of a private one; undefined where it is none. */
function publicOf(privateKey: string): string | undefined {
  try {
    return createPublicKey(privateKey).export({ type: "spki", format: "pem" }).toString();
  } catch {
    return undefined;
  }
}

/** Where what this hub holds is shut away; undefined where its store has no key. @throws FaultError KEY_DAMAGED */
export async function ownBox(tables: Pick<DoorTables, "setting">): Promise<HeldBox | undefined> {
  const key = await ownKey(tables);
  return key === undefined ? undefined : new HeldBox(key);
}
