import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { GradingOnHub } from "../../line/doors.ts";
import type { Answer } from "../../ports/hub-desk.ts";
import { type ChiefKey, readChiefKey } from "./chief-key.ts";
import type { Services } from "./services.tsx";

/**
 * Makes this device one more of the chief's in a belt test that the hub holds; the book itself comes over the line.
 * The device counts anew under an id of its own: what an earlier copy here still held may come back as a file.
 */
export async function pickUp(
  { hub, store, makeId, nowMs }: Services,
  key: ChiefKey,
  { grading, title }: GradingOnHub,
  name: string,
): Promise<Answer<object>> {
  const device = makeId() as DeviceId;
  const made = await hub.makeGrading(key.token, grading, device);
  if (!made.ok) return made;
  // What the hub signed before stays: it is what a rewritten record is known by.
  const { heads, partedAtMs } = (await store.pass(grading)) ?? {};
  await store.keepPass({
    ...(heads && { heads }),
    ...(partedAtMs !== undefined && { partedAtMs }),
    grading,
    device,
    person: key.person,
    roles: ["chief"],
    token: key.token,
    name,
    ...(title === undefined ? {} : { title }),
    cursor: 0,
    lastContactMs: nowMs(),
  });
  return { ok: true };
}

/** The pass of a belt test that the hub holds for this device's chief; nothing where there is no key or no such test. */
export async function pickedUp(services: Services, grading: GradingId, name: string) {
  const key = readChiefKey();
  if (!key) return undefined;
  const held = await services.hub.gradings(key.token);
  const found = held.ok && held.gradings.find((one) => one.grading === grading);
  if (!found) return undefined;
  const made = await pickUp(services, key, found, name);
  return made.ok ? services.store.pass(grading) : undefined;
}
