import deviceWords from "../../words/en/device.json" with { type: "json" };
import { newVersion } from "../device/new-version.ts";
import { Key } from "./key.tsx";
import { Notice } from "./notice.tsx";
import { useSay } from "./use-say.ts";

/** Says that the next version of the app lies ready. Only where nobody is marking: a start loads the page anew. */
export function NewVersionNotice() {
  const say = useSay(deviceWords);
  return (
    <Notice
      title={say("next")}
      keys={
        <Key onClick={() => newVersion.start(() => location.reload())}>{say("next-start")}</Key>
      }
    >
      {say("next-text")}
    </Notice>
  );
}
