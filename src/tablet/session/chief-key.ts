import * as z from "zod/mini";
import { DeviceId, PersonId } from "../../book/identity.ts";

/** What makes this device the hub's chief, also for gradings that do not exist yet; passes come and go with gradings. */
const ChiefKey = z.object({ token: z.string(), person: PersonId, device: DeviceId });
export type ChiefKey = z.infer<typeof ChiefKey>;
const KEY = "evenhand-chief";

export function readChiefKey(): ChiefKey | undefined {
  try {
    const read = ChiefKey.safeParse(JSON.parse(localStorage.getItem(KEY) ?? "null"));
    return read.success ? read.data : undefined;
  } catch {
    return undefined;
  }
}

/** @returns false where the platform keeps nothing: then the key is good until the page is closed. */
export function keepChiefKey(key: ChiefKey): boolean {
  try {
    localStorage.setItem(KEY, JSON.stringify(key));
    return true;
  } catch {
    return false;
  }
}

/** The key in an address like `…/#key=ABCD-EFGH`, as the hub's terminal prints it. */
export function chiefKeyIn(hash: string): string | undefined {
  return new URLSearchParams(hash.replace(/^#/, "")).get("key")?.trim() || undefined;
}
