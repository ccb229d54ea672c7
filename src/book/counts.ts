import * as z from "zod/mini";
import { fnv1a } from "./fnv.ts";
import { CountId, type DeviceId } from "./identity.ts";

/** Highest `n` known of each count of each device. */
export const Basis = z.record(CountId, z.int().check(z.gte(0)));
export type Basis = z.infer<typeof Basis>;

/** Whose count it is. */
export function deviceOf(count: string): DeviceId {
  const dot = count.indexOf(".");
  return (dot < 0 ? count : count.slice(0, dot)) as DeviceId;
}

/** What a device calls the count that it keeps of one place apart. @param mark  of that place, as `markOfPlace` says */
export const countOfPlace = (device: DeviceId, mark: string): CountId =>
  `${device}.${mark}` as CountId;

/** Of which place a count is kept apart; undefined for the device's own. */
export function placeMarkOf(count: string): string | undefined {
  const dot = count.indexOf(".");
  return dot < 0 ? undefined : count.slice(dot + 1);
}

const marks = new Map<string, string>();
/** What every count over one place is called after its device: nobody has to agree on anything. @param key  the same text for the same place */
export function markOfPlace(key: string): string {
  let mark = marks.get(key);
  if (!mark) marks.set(key, (mark = fnv1a(key).toString(16).padStart(8, "0")));
  return mark;
}
