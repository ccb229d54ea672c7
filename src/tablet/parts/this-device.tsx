import { use } from "react";
import deviceWords from "../../words/en/device.json" with { type: "json" };
import { isOutsideHomeScreen } from "../device/is-outside-home-screen.ts";
import { sizeInWords } from "../device/size-in-words.ts";
import { useKeeping } from "../device/use-keeping.ts";
import css from "./this-device.module.css";
import { LanguageContext, useSay } from "./use-say.ts";

/** What this device can be relied on for: whether others can listen, whether the app opens without the hub, how long things stay, how much room there is. */
export function ThisDevice() {
  const say = useSay(deviceWords);
  const { locale } = use(LanguageContext);
  const keeping = useKeeping();
  const isEncrypted = location.protocol === "https:";
  const hasApp = "serviceWorker" in navigator;
  const isKept = hasApp && navigator.serviceWorker.controller !== null;
  const size =
    keeping?.roomBytes === undefined ? undefined : sizeInWords(keeping.roomBytes, locale);
  const kept = keeping?.isForGood ? "kept-yes" : isOutsideHomeScreen() ? "kept-home" : "kept-no";
  return (
    <dl className={css.root}>
      <dt>{say("line")}</dt>
      <dd>{say(isEncrypted ? "line-tls" : window.isSecureContext ? "line-own" : "line-plain")}</dd>
      <dt>{say("cold")}</dt>
      <dd>{say(isKept ? "cold-yes" : hasApp ? "cold-soon" : "cold-no")}</dd>
      {keeping && (
        <>
          <dt>{say("kept")}</dt>
          <dd>{say(kept)}</dd>
          <dt>{say("room")}</dt>
          <dd>
            {size === undefined
              ? say("room-unknown")
              : keeping.isRoomLittle
                ? say("room-little", { size })
                : size}
          </dd>
        </>
      )}
    </dl>
  );
}
