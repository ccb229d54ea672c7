import type { Role } from "../../../belt-test/kinds/body-parts.ts";
import type { Notebook } from "../../session/notebook.ts";
import type { Services } from "../../session/services.tsx";

/** Gives this device the roles its own person was just seated in: the hub first, where there is one. */
export async function takeOwnRoles(
  { hub, store }: Pick<Services, "hub" | "store">,
  notebook: Notebook,
  roles: Role[],
): Promise<void> {
  const { token, grading, device, person } = notebook.pass;
  if (!person) return;
  if (token) {
    const answer = await hub.admit(token, grading, device, { person, roles });
    // Out of reach: the door shows that roles differ, and changes them later.
    if (!answer.ok) return;
  }
  const pass = { ...notebook.pass, roles };
  await store.keepPass(pass);
  notebook.tookRoles(pass);
}
