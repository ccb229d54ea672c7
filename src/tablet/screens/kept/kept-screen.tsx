// The chief examiner after a test, or the school's office a year later; seated, no hurry, and nothing here may be pressed by mistake.
import { namesMonths } from "../../../belt-test/scorebook/retention.ts";
import keptWords from "../../../words/en/kept.json" with { type: "json" };
import { PageBand } from "../../parts/page-band.tsx";
import { useSay } from "../../parts/use-say.ts";
import { LinesAside } from "../../session/lines-aside.tsx";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import css from "./kept.module.css";
import { KeptIncidents } from "./kept-incidents.tsx";
import { KeptLetIns } from "./kept-let-ins.tsx";
import { KeptNames } from "./kept-names.tsx";
import { KeptOfHub } from "./kept-of-hub.tsx";
import { KeptReasons } from "./kept-reasons.tsx";

export function KeptScreen() {
  const { pass } = useNotebook();
  const say = useSay(keptWords);
  return (
    <>
      <PageBand title={say("title")} about={say("about")} keys={<WayAround />} />
      <main className={css.page}>
        <LinesAside />
        <KeptIncidents />
        <KeptReasons />
        <KeptLetIns />
        {pass.token === undefined ? (
          <KeptNames months={namesMonths.usual} warns />
        ) : (
          <KeptOfHub token={pass.token} />
        )}
      </main>
    </>
  );
}
