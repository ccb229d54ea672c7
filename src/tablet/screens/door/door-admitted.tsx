import { useState } from "react";
import type { DeviceAtDoor } from "../../../line/doors.ts";
import type { Answer } from "../../../ports/hub-desk.ts";
import { clockTime } from "../../../words/dates.ts";
import doorWords from "../../../words/en/door.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { rolesAtDoor } from "../../session/roles-at-door.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import css from "./door.module.css";

interface DoorAdmittedProps {
  token: string;
  devices: readonly DeviceAtDoor[];
  onAsk: (answer: Promise<Answer<object>>) => Promise<void>;
}

/** Who is in: there or away, and how much only their tablet holds. And who stands outside. */
export function DoorAdmitted({ token, devices, onAsk }: DoorAdmittedProps) {
  const say = useSay(doorWords);
  const notebook = useNotebook();
  const { hub } = useServices();
  const { pass, news, book } = notebook;
  const [shutting, setShutting] = useState<DeviceAtDoor>();
  const admitted = devices.filter(({ state }) => state === "admitted");
  const outside = devices.filter(({ state }) => state === "refused" || state === "revoked");
  const nameOf = ({ person, name }: DeviceAtDoor) =>
    (person && personName(notebook, person)) || name;
  const rolesOf = (roles: DeviceAtDoor["roles"]) =>
    (roles ?? []).map((role) => say(`role-${role}`)).join(", ");
  const presenceOf = ({ device }: DeviceAtDoor) =>
    news.presence.find((one) => one.device === device);
  const shuttingUnsent = (shutting && presenceOf(shutting)?.unsent) ?? 0;

  return (
    <>
      <section aria-labelledby="door-in">
        <h2 id="door-in">{say("in-title")}</h2>
        <ul className={css.list}>
          {admitted.map((device) => {
            const name = nameOf(device);
            const here = presenceOf(device);
            const isOwn = device.device === pass.device;
            const seat = device.person && book.plan.seat(device.person);
            const asSeated = seat && rolesAtDoor(seat.roles, device.roles ?? []);
            const differs = asSeated && !sameRoles(asSeated, device.roles ?? []);
            // What waits there would not be taken in other roles.
            const holds = !isOwn && (here?.online !== true || here.unsent > 0);
            return (
              <li key={device.device} data-online={here?.online || isOwn || undefined}>
                <div>
                  <b>{name}</b>
                  <span>{rolesOf(device.roles)}</span>
                  <span>
                    {isOwn
                      ? say("this-device")
                      : !here
                        ? say("never")
                        : here.online
                          ? say("online")
                          : say("away", { when: clockTime(here.lastSeenAtMs, say.locale) })}
                  </span>
                  {here && here.unsent > 0 && (
                    <strong>{say("unsent", { count: here.unsent })}</strong>
                  )}
                  {seat?.roles.length === 0 && <strong>{say("no-seat")}</strong>}
                  {differs && asSeated.length > 0 && (
                    <strong>{say("roles-differ", { name, roles: rolesOf(asSeated) })}</strong>
                  )}
                  {differs && holds && <span>{say("roles-wait")}</span>}
                </div>
                <div className={css.keys}>
                  {differs && device.person && (
                    <Key
                      aria-label={say("roles-give-named", { name })}
                      onClick={() => {
                        if (device.person)
                          void onAsk(
                            hub.admit(token, pass.grading, device.device, {
                              person: device.person,
                              roles: asSeated,
                            }),
                          );
                      }}
                    >
                      {say(asSeated.length > 0 ? "roles-give" : "roles-take")}
                    </Key>
                  )}
                  {!isOwn && (
                    <Key
                      kind="quiet"
                      aria-label={say("revoke-named", { name })}
                      onClick={() => setShutting(device)}
                    >
                      {say("revoke")}
                    </Key>
                  )}
                </div>
              </li>
            );
          })}
        </ul>
      </section>
      {outside.length > 0 && (
        <section aria-labelledby="door-outside">
          <h2 id="door-outside">{say("outside-title")}</h2>
          <ul className={css.list}>
            {outside.map((device) => (
              <li key={device.device}>
                <div>
                  <b>{nameOf(device)}</b>
                  <span>{say(device.state === "refused" ? "refused" : "revoked")}</span>
                  {device.deniedBy && (
                    <strong>
                      {say("denied", {
                        name: personName(notebook, device.deniedBy) ?? say("role-judge"),
                      })}
                    </strong>
                  )}
                </div>
              </li>
            ))}
          </ul>
        </section>
      )}
      {shutting && (
        <AskFirst
          title={say("revoke-title", { name: nameOf(shutting) })}
          yes={say("revoke")}
          no={say("keep")}
          onYes={() => {
            setShutting(undefined);
            void onAsk(hub.revoke(token, pass.grading, shutting.device));
          }}
          onNo={() => setShutting(undefined)}
        >
          <p>{say("revoke-text")}</p>
          {shuttingUnsent > 0 && <p>{say("revoke-unsent", { count: shuttingUnsent })}</p>}
        </AskFirst>
      )}
    </>
  );
}

const sameRoles = (a: readonly string[], b: readonly string[]): boolean =>
  [...a].sort().join() === [...b].sort().join();
