import { clockTime } from "../../../words/dates.ts";
import furtherDeviceWords from "../../../words/en/further-device.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import {
  furtherDevicesToTell,
  knowsLetIn,
  saidItIsTheirs,
} from "../../session/further-devices-told.ts";
import { personName } from "../../session/names.ts";
import { useSession } from "../../session/services.tsx";
import css from "./further-devices.module.css";

/**
 * Above every page: is a further tablet under this person's name theirs? First as a question, while it waits; then as word of what was done.
 * One at a time: a phone that marks has little room.
 */
export function FurtherDevices() {
  const { notebook, answerDoor } = useSession();
  const say = useSay(furtherDeviceWords);
  const { pass, news } = notebook;
  const asked = news.doorQuestions.slice(0, 1);
  const told = asked.length > 0 ? [] : furtherDevicesToTell(notebook).slice(0, 1);
  if (asked.length + told.length === 0) return null;
  return (
    <div className={`${css.root} not-on-paper`} role="alert">
      {asked.map(({ device, name }) => (
        <div key={device}>
          <p>
            <strong>{say("ask", { name })}</strong> {say("ask-text")}
          </p>
          <div>
            <Key
              kind="quiet"
              onClick={() => {
                saidItIsTheirs(notebook, device);
                answerDoor(device, true);
              }}
            >
              {say("yes")}
            </Key>
            <Key onClick={() => answerDoor(device, false)}>{say("no")}</Key>
          </div>
        </div>
      ))}
      {told.map(({ id, at, decidedBy, device }) => (
        <div key={id}>
          <p>
            <strong>
              {say(device === pass.device ? "told-this" : "told", {
                time: clockTime(at, say.locale),
                name: personName(notebook, decidedBy) ?? say("chief"),
              })}
            </strong>{" "}
            {say("told-text")}
          </p>
          <div>
            <Key kind="quiet" onClick={() => void knowsLetIn(notebook, id)}>
              {say("met")}
            </Key>
          </div>
        </div>
      ))}
    </div>
  );
}
