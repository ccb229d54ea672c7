import { RULES } from "../../../belt-test/scorebook/rules.ts";
import type { DeviceId, GradingId, PersonId } from "../../../book/identity.ts";
import { makeSideRecord } from "../../../line/make-side-record.ts";
import type { Answer } from "../../../ports/hub-desk.ts";
import type { ChiefKey } from "../../session/chief-key.ts";
import type { Services } from "../../session/services.tsx";

/**
 * Opens a new grading with whoever holds this device as its chief examiner: on the hub with the chief's key,
 * or, without one, on this device alone.
 */
export async function startGrading(
  services: Services,
  { title, date, chief }: { title: string; date: string; chief: string },
  key: ChiefKey | undefined,
): Promise<Answer<{ grading: GradingId }>> {
  const { hub, makeId, random, nowMs, store, openSession } = services;
  const grading = makeId() as GradingId;
  const device = key?.device ?? (makeId() as DeviceId);
  const person = key?.person ?? (makeId() as PersonId);
  if (key) {
    const made = await hub.makeGrading(key.token, grading, device);
    if (!made.ok) return made;
  }
  const pass = {
    grading,
    device,
    person,
    roles: ["chief" as const],
    ...(key ? { token: key.token } : {}),
    name: chief,
    title,
    cursor: 0,
    lastContactMs: nowMs(),
  };
  await store.keepPass(pass);
  const { notebook } = await openSession(pass);
  const details = makeSideRecord(
    { grading, about: person, kind: "person", body: { name: chief } },
    { random },
  );
  await notebook.write("opened", { title, date, rules: RULES });
  await notebook.write(
    "seated",
    { person, roles: ["chief"], details: details.ref },
    { sides: [details.record] },
  );
  return { ok: true, grading };
}
