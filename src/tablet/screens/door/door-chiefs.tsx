import { useEffect, useState } from "react";
import type { Fault } from "../../../book/faults.ts";
import { deviceNameOf } from "../../../line/device-name.ts";
import type { ChiefDevice } from "../../../line/doors.ts";
import type { TabletStore } from "../../../ports/tablet-store.ts";
import { clockTime, dayAt } from "../../../words/dates.ts";
import doorWords from "../../../words/en/door.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { readChiefKey } from "../../session/chief-key.ts";
import { useServices } from "../../session/services.tsx";
import css from "./door.module.css";

/** By what names the hub lists this very tablet: it may have come in twice, as with the example test, and is not to end itself. */
async function ownIds(store: Pick<TabletStore, "passes">): Promise<ReadonlySet<string>> {
  const tokens = (await store.passes()).map(({ token }) => token);
  return new Set(
    [...tokens, readChiefKey()?.token].flatMap((token) => (token ? [deviceNameOf(token)] : [])),
  );
}

/** Every device that leads this hub, or a test of it, and a way to end one that is lost. Shown to the hub's own chief. */
export function DoorChiefs({ token }: { token: string }) {
  const say = useSay(doorWords);
  const sayFault = useSayFault();
  const { hub, store } = useServices();
  const [devices, setDevices] = useState<readonly ChiefDevice[]>([]);
  const [ending, setEnding] = useState<ChiefDevice>();
  const [fault, setFault] = useState<Fault>();
  const [own, setOwn] = useState<ReadonlySet<string>>(new Set());

  useEffect(() => {
    let isGone = false;
    void ownIds(store).then((ids) => !isGone && setOwn(ids));
    void hub.chiefs(token).then((answer) => {
      if (answer.ok && !isGone) setDevices(answer.devices);
    });
    return () => {
      isGone = true;
    };
  }, [hub, store, token]);

  async function end({ id }: ChiefDevice): Promise<void> {
    setEnding(undefined);
    const answer = await hub.endChief(token, id);
    if (answer.ok) setDevices(answer.devices);
    setFault(answer.ok ? undefined : answer.fault);
  }
  const nameOf = ({ isHubs, name }: ChiefDevice) =>
    isHubs ? say("chiefs-hubs") : say("chiefs-guest", { name: name || "?" });
  const sinceOf = ({ sinceMs }: ChiefDevice) =>
    say("chiefs-since", { day: dayAt(sinceMs, say.locale), time: clockTime(sinceMs, say.locale) });

  // Whoever leads one test only is told of no others.
  if (devices.length === 0) return null;
  return (
    <section aria-labelledby="door-chiefs">
      <h2 id="door-chiefs">{say("chiefs-title")}</h2>
      <p>{say("chiefs-text")}</p>
      {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}
      <ul className={css.list}>
        {devices
          .map((device) => ({ ...device, isOwn: device.isThis || own.has(device.id) }))
          .map((device) => (
            <li key={device.id} data-online={device.isOwn || undefined}>
              <div>
                <b>{nameOf(device)}</b>
                <span>{sinceOf(device)}</span>
                <span>
                  {device.isThis
                    ? say("this-device")
                    : say(device.isOwn ? "chiefs-own" : "chiefs-tests", {
                        count: device.tests.length,
                      })}
                </span>
              </div>
              {!device.isOwn && (
                <div className={css.keys}>
                  <Key
                    kind="quiet"
                    aria-label={say("chiefs-end-named", { since: sinceOf(device) })}
                    onClick={() => setEnding(device)}
                  >
                    {say("chiefs-end")}
                  </Key>
                </div>
              )}
            </li>
          ))}
      </ul>
      {ending && (
        <AskFirst
          title={say("chiefs-end-title")}
          yes={say("chiefs-end")}
          no={say("keep")}
          onYes={() => void end(ending)}
          onNo={() => setEnding(undefined)}
        >
          <p>
            {nameOf(ending)}, {sinceOf(ending)}
          </p>
          <p>{say("chiefs-end-text")}</p>
        </AskFirst>
      )}
    </section>
  );
}
