import type { Role } from "../../../belt-test/kinds/body-parts.ts";
import type { PersonId } from "../../../book/identity.ts";
import type { Notebook } from "../../session/notebook.ts";
import type { Services } from "../../session/services.tsx";

/**
 * Gives the tablets of somebody who was just seated the same roles at the door. Whoever judged there stays let in as a judge: marks that are still on that
 * tablet come in, and nothing more is asked of it.
 *
 * @returns false where a tablet of theirs may be in with other roles still: the hub cannot be reached, or did not take it. The door's page says so, and changes it.
 */
export async function giveRoles(
  services: Pick<Services, "hub" | "store">,
  notebook: Notebook,
  person: PersonId,
  roles: readonly Role[],
): Promise<boolean> {
  const { hub, store } = services;
  const { token, grading, device, person: own } = notebook.pass;
  const isOwn = person === own;
  if (token) {
    const door = await hub.devices(token, grading);
    if (!door.ok) return false;
    const theirs = door.devices.filter(
      (one) => one.state === "admitted" && (isOwn ? one.device === device : one.person === person),
    );
    for (const { device: which, roles: before = [] } of theirs) {
      const now = [...new Set([...roles, ...before.filter((role) => role === "judge")])];
      const answer = await hub.admit(token, grading, which, {
        person,
        roles: isOwn ? [...roles] : now,
      });
      if (!answer.ok) return false;
    }
  }
  if (!isOwn) return true;
  const pass = { ...notebook.pass, roles: [...roles] };
  await store.keepPass(pass);
  notebook.tookRoles(pass);
  return true;
}
