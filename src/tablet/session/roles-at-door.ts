import type { Role } from "../../belt-test/kinds/body-parts.ts";
import type { DeviceId, PersonId } from "../../book/identity.ts";
import type { Notebook } from "./notebook.ts";
import type { Services } from "./services.tsx";

/** In which roles a tablet is to be let in: whoever judged stays a judge there, so that marks which are still on it come in. Nothing more is asked of it. */
export const rolesAtDoor = (seated: readonly Role[], before: readonly Role[]): Role[] => [
  ...new Set([...seated, ...before.filter((role) => role === "judge")]),
];

/**
 * Gives the tablets of somebody who was just seated the same roles at the door. One that is away, or holds something still, keeps those it has: what was
 * written in them would not be taken any more.
 *
 * @returns false where a tablet of theirs may be in with other roles still. The door's page says so, and changes it.
 */
export async function giveRoles(
  services: Pick<Services, "hub" | "store">,
  notebook: Notebook,
  person: PersonId,
  roles: readonly Role[],
): Promise<boolean> {
  const { token, person: own } = notebook.pass;
  if (person === own) return takeRoles(services, notebook, roles);
  if (!token) return true;
  const { grading } = notebook.pass;
  const door = await services.hub.devices(token, grading);
  if (!door.ok) return false;
  let isGiven = true;
  for (const { device, state, roles: before = [], ...one } of door.devices) {
    if (state !== "admitted" || one.person !== person) continue;
    const now = rolesAtDoor(roles, before);
    const isLess = before.some((role) => !now.includes(role));
    const mayLose = !isLess || holdsNothing(notebook, device);
    // What the person is to do now, they can do also where it keeps what it had.
    const given = mayLose ? now : [...new Set([...before, ...now])];
    isGiven &&= mayLose;
    if (!mayLose && given.length === before.length) continue;
    const answer = await services.hub.admit(token, grading, device, { person, roles: given });
    isGiven &&= answer.ok;
  }
  return isGiven;
}

/** As far as the hub can tell: it is on the line, and nothing waits there. */
function holdsNothing({ news }: Notebook, device: DeviceId): boolean {
  const its = news.presence.find((one) => one.device === device);
  return its?.online === true && its.unsent === 0;
}

/** Of this very device: the hub first, where there is one. */
async function takeRoles(
  { hub, store }: Pick<Services, "hub" | "store">,
  notebook: Notebook,
  roles: readonly Role[],
): Promise<boolean> {
  const { token, grading, device, person } = notebook.pass;
  if (token && person) {
    const answer = await hub.admit(token, grading, device, { person, roles: [...roles] });
    if (!answer.ok) return false;
  }
  const pass = { ...notebook.pass, roles: [...roles] };
  await store.keepPass(pass);
  notebook.tookRoles(pass);
  return true;
}
