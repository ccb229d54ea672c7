import { TopBand } from "../../parts/line/top-band.tsx";

const nothing = () => undefined;
const keys = {
  onStop: nothing,
  onFlip: nothing,
  onNext: nothing,
  onBackToNow: nothing,
};

/** The judge's band, call by call. */
export function BandScenes() {
  return (
    <div className="stack-4">
      <TopBand
        {...keys}
        title="Rising block"
        alias="age-uke"
        script="上げ受け"
        side="left"
        counts={{ done: 4, total: 6, running: true }}
        saved="saved"
      />
      <TopBand
        {...keys}
        title="Front kick"
        alias="mae-geri"
        side="right"
        counts={{ done: 3, total: 3, running: false }}
        saved="saving"
        stillOpen={{ call: "Low block, right", calls: 1, blank: 4 }}
        next="Side kick, left"
      />
      <TopBand
        {...keys}
        title="Low block"
        alias="gedan-barai"
        side="right"
        saved="waiting"
        earlier
        flipped
      />
      <TopBand
        {...keys}
        title="Escape from a two-handed grab at the lapel"
        saved="saved"
        handed="left"
        stillOpen={{ call: "", calls: 3, blank: 11 }}
      />
    </div>
  );
}
