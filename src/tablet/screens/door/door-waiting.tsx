import { useState } from "react";
import type { PersonId } from "../../../book/identity.ts";
import type { DeviceAtDoor } from "../../../line/doors.ts";
import type { Answer } from "../../../ports/hub-desk.ts";
import doorWords from "../../../words/en/door.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { personName } from "../../session/names.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import { useSideRecords } from "../../session/use-side-records.ts";
import css from "./door.module.css";

interface DoorListProps {
  token: string;
  devices: readonly DeviceAtDoor[];
  onAsk: <T extends object>(
    answer: Promise<Answer<T>>,
    words?: (given: T) => string | undefined,
  ) => Promise<void>;
}

/** Who asks to come in. Each is bound to a person of the plan, or seated as somebody new. */
export function DoorWaiting({ token, devices, onAsk }: DoorListProps) {
  const say = useSay(doorWords);
  const waiting = devices.filter(({ state }) => state === "waiting");
  return (
    <section aria-labelledby="door-waiting">
      <h2 id="door-waiting">{say("waiting-title")}</h2>
      {waiting.length === 0 && <p className="wash">{say("waiting-none")}</p>}
      <ul
        className={waiting.length > 0 ? `${css.list} ${css.waiting}` : css.list}
        aria-live="polite"
      >
        {waiting.map((device) => (
          <WaitingDevice
            key={device.device}
            device={device}
            token={token}
            devices={devices}
            onAsk={onAsk}
          />
        ))}
      </ul>
    </section>
  );
}

function WaitingDevice({
  device,
  token,
  devices,
  onAsk,
}: DoorListProps & { device: DeviceAtDoor }) {
  const say = useSay(doorWords);
  const notebook = useNotebook();
  const { hub, makeId } = useServices();
  const makeSide = useSideRecords();
  const { grading } = notebook.pass;
  const { name, wants } = device;
  const seats = notebook.book.plan.seats.filter(({ roles }) => roles.length > 0);
  const hasTablet = (person: PersonId) =>
    devices.some((one) => one.state === "admitted" && one.person === person);
  const known = seats.find(({ person }) => isSame(personName(notebook, person), name));
  const [chosen, setChosen] = useState<PersonId | "new">();
  const who = chosen ?? known?.person ?? "new";

  const askedName =
    (device.asked && personName(notebook, device.asked.person)) ?? say("role-judge");
  const isSecond = who !== "new" && !device.asked && hasTablet(who);

  async function letIn() {
    const seat = seats.find(({ person }) => person === who);
    if (seat)
      return onAsk(
        hub.admit(token, grading, device.device, { person: seat.person, roles: seat.roles }),
        ({ state }) => (state === "asked" ? undefined : say("did-admit", { name })),
      );
    // Seated first, so that the plan knows everybody whom the hub lets in.
    const person = makeId() as PersonId;
    const { ref, record } = makeSide(person, "person", { name });
    await notebook.write("seated", { person, roles: [wants], details: ref }, { sides: [record] });
    return onAsk(hub.admit(token, grading, device.device, { person, roles: [wants] }), () =>
      say("did-admit", { name }),
    );
  }

  return (
    <li>
      <div>
        <b>{name}</b>
        <span>{say("wants", { role: wants })}</span>
        {device.asked && (
          <strong>{say(device.asked.again ? "asked-again" : "asked", { name: askedName })}</strong>
        )}
        {isSecond && <span>{say("second-first", { name: personName(notebook, who) ?? "" })}</span>}
      </div>
      <label>
        <span>{say("is-who")}</span>
        <select
          value={who}
          aria-label={say("is-who-named", { name })}
          onChange={(event) => setChosen(event.currentTarget.value as PersonId | "new")}
        >
          <option value="new">{say("somebody-new")}</option>
          {seats.map(({ person, roles }) => (
            <option key={person} value={person}>
              {say(hasTablet(person) ? "seat-in" : "seat-free", {
                name: personName(notebook, person) ?? "",
                roles: roles.map((role) => say(`role-${role}`)).join(", "),
              })}
            </option>
          ))}
        </select>
      </label>
      <div className={css.keys}>
        <Key
          kind="quiet"
          aria-label={say("refuse-named", { name })}
          onClick={() => void onAsk(hub.refuse(token, grading, device.device))}
        >
          {say("refuse")}
        </Key>
        <Key kind="seal" aria-label={say("let-in-named", { name })} onClick={() => void letIn()}>
          {say("let-in")}
        </Key>
      </div>
    </li>
  );
}

/** The same name as people write it: case, accents and spaces aside. */
function isSame(a: string | undefined, b: string): boolean {
  const plain = (text: string) =>
    text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase().replace(/\s+/g, " ").trim();
  return a !== undefined && plain(a) === plain(b);
}
