import { headsApart } from "../../../book/signed-head.ts";
import { longDay } from "../../../words/dates.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { Notice } from "../../parts/notice.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";

/** What this device has of the hub's record, signed by the hub, and whether the hub kept to it. */
export function KeptRecord() {
  const { heads = [], partedAtMs } = useNotebook().pass;
  const say = useSay(keptWords);
  const apart = headsApart(heads);
  const newest = heads.at(-1);
  return (
    <section aria-labelledby="record">
      <h2 id="record">{say("record")}</h2>
      {partedAtMs !== undefined && (
        <Notice
          kind="urgent"
          title={say("record-parted", {
            day: longDay(new Date(partedAtMs).toISOString().slice(0, 10), say.locale),
          })}
        >
          {apart && `${say("record-apart", { seq: apart.seq })} `}
          {say("record-parted-why")}
        </Notice>
      )}
      <p>
        {newest
          ? say("record-heads", { count: heads.length, seq: newest.seq })
          : say("record-none")}
      </p>
      <p className="quiet">{say("record-verify")}</p>
    </section>
  );
}
