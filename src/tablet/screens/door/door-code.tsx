import { useEffect, useState } from "react";
import type { Fault } from "../../../book/faults.ts";
import doorWords from "../../../words/en/door.json" with { type: "json" };
import { AskFirst } from "../../parts/ask-first.tsx";
import { Fingerprint } from "../../parts/fingerprint.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { QrCode } from "../../parts/qr-code.tsx";
import { reachable } from "../../parts/reachable.ts";
import { SelectField } from "../../parts/select-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import css from "./door.module.css";

interface Shown {
  code: string;
  addresses: string[];
}

/** The join code, large, and the square that a tablet's camera reads. */
export function DoorCode({ token }: { token: string }) {
  const { grading } = useNotebook().pass;
  const { hub } = useServices();
  const say = useSay(doorWords);
  const sayFault = useSayFault();
  const [shown, setShown] = useState<Shown>();
  const [trust, setTrust] = useState<{ name: string; fingerprint: string }>();
  const [fault, setFault] = useState<Fault>();
  const [chosen, setChosen] = useState<string>();
  const [isAsking, setAsking] = useState(false);

  useEffect(() => {
    let isHere = true;
    void hub.code(token, grading).then((answer) => {
      if (!isHere) return;
      if (answer.ok) setShown(answer);
      else setFault(answer.fault);
    });
    void hub.trust().then((answer) => isHere && answer.ok && setTrust(answer.trust ?? undefined));
    return () => {
      isHere = false;
    };
  }, [hub, token, grading]);

  async function renew() {
    setAsking(false);
    const answer = await hub.newCode(token, grading);
    if (answer.ok) setShown(answer);
    setFault(answer.ok ? undefined : answer.fault);
  }

  const addresses = shown ? reachable(shown.addresses) : [];
  const address = addresses.find((one) => one === chosen) ?? addresses[0] ?? location.origin;
  // A tablet that trusts the hub already is led on from there at once, and so is one that need not.
  const way = `${address}/${trust ? "trust" : "join"}`;
  return (
    <section className={css.code} aria-labelledby="door-code">
      <h2 id="door-code">{say("code-title")}</h2>
      {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}
      {!shown && !fault && <p role="status">{say("code-asking")}</p>}
      {shown && (
        <>
          <p className={css.letters}>
            <span className="unseen">{say("code-label", { code: shown.code })}</span>
            <span aria-hidden="true">{shown.code}</span>
          </p>
          <QrCode text={`${way}#${shown.code}`} label={say("qr", { address: way })} />
          <p className={css.address}>{way}</p>
          <p className="wash">{say("code-how")}</p>
          {addresses.length > 1 && (
            <SelectField
              label={say("address")}
              value={address}
              options={addresses.map((value) => ({ value, label: value }))}
              onChange={setChosen}
            />
          )}
          <Key kind="quiet" onClick={() => setAsking(true)}>
            {say("new-code")}
          </Key>
          {trust && (
            <details className={css.print}>
              <summary>{say("trust")}</summary>
              <p>{say("trust-of", { name: trust.name })}</p>
              <Fingerprint of={trust.fingerprint} />
              <p>{say("trust-text")}</p>
            </details>
          )}
        </>
      )}
      {isAsking && (
        <AskFirst
          title={say("new-code-title")}
          yes={say("new-code")}
          no={say("keep")}
          onYes={() => void renew()}
          onNo={() => setAsking(false)}
        >
          <p>{say("new-code-text")}</p>
        </AskFirst>
      )}
    </section>
  );
}
