// Held by whoever prepares a tablet, the evening before or in the queue at the door; two minutes, once.
// They look from this page to the settings and back, and to the chief's screen for one line of figures.
import { useState } from "react";
import trustWords from "../../../words/en/trust.json" with { type: "json" };
import { ChoiceRow } from "../../parts/choice-row.tsx";
import { Fingerprint } from "../../parts/fingerprint.tsx";
import { keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { testAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { Weaker } from "../../parts/weaker.tsx";
import { type Kind, kinds } from "./kind-of.ts";
import css from "./trust.module.css";
import { type TrustDoors, useTrust } from "./use-trust.ts";

const steps = [1, 2, 3, 4] as const;
const fileFor = (kind: Kind): string =>
  kind === "ipad" ? "/trust/evenhand-hub.mobileconfig" : "/trust/evenhand-hub.crt";

export function TrustScreen({ kind: first, ...doors }: TrustDoors & { kind: Kind }) {
  const say = useSay(trustWords);
  const { offer, isAway, held, isTrusted } = useTrust(doors);
  const [kind, setKind] = useState(first);
  return (
    <>
      <PageBand title={say("title")} about={say("about")} />
      <main className={css.root}>
        {!offer && !isAway && <p role="status">{say("asking")}</p>}
        {isAway && <Notice kind="urgent">{say("no-hub")}</Notice>}
        {held && (
          <Notice
            kind="urgent"
            title={say("held-title")}
            keys={
              <a {...keyLook} href={testAddress(held.grading)}>
                {say("held-open")}
              </a>
            }
          >
            {say("held", { count: held.count })}
          </Notice>
        )}
        {offer && isTrusted && (
          <Notice
            kind="done"
            title={say("trusted-title")}
            keys={
              <a {...keyLook} data-kind="ink" href={`${offer.origin}/join${doors.code}`}>
                {say("trusted-go")}
              </a>
            }
          >
            {say("trusted")}
          </Notice>
        )}
        {offer && !held && !isTrusted && (
          <>
            <div className={css.halves}>
              <section className={css.steps} aria-labelledby="trust-steps">
                <ChoiceRow
                  legend={say("kind")}
                  name="kind"
                  choices={kinds}
                  chosen={kind}
                  wordFor={(one) => say(`kind-${one}`)}
                  onChoose={setKind}
                />
                <h2 id="trust-steps">{say("steps-title")}</h2>
                <ol>
                  {steps.map((step) => (
                    <li key={step}>{say(`${kind}-${step}`, { name: offer.name })}</li>
                  ))}
                </ol>
                <a {...keyLook} data-kind="ink" href={fileFor(kind)}>
                  {say(kind === "ipad" ? "get-profile" : "get-certificate")}
                </a>
                <p className="quiet" role="status">
                  {say("waiting")}
                </p>
              </section>
              <section className={css.print} aria-labelledby="trust-print">
                <h2 id="trust-print">{say("print-title")}</h2>
                <p className="quiet">{say("print-name", { name: offer.name })}</p>
                <Fingerprint of={offer.fingerprint} />
                <p>{say("print-about")}</p>
                <p className="quiet">{say("limits")}</p>
              </section>
            </div>
            {offer.byName && <p className="quiet">{say("by-name", { address: offer.byName })}</p>}
            {offer.formerly.length > 0 && (
              <p className="quiet">{say("formerly", { addresses: offer.formerly.join(", ") })}</p>
            )}
            <details className={css.without}>
              <summary>{say("without-title")}</summary>
              <p>{say("without-about")}</p>
              <Weaker />
              <a {...keyLook} data-kind="firm" href={`/join${doors.code}`}>
                {say("without-go")}
              </a>
            </details>
          </>
        )}
      </main>
    </>
  );
}
