import { type FormEvent, useState } from "react";
import type { Fault } from "../../../book/faults.ts";
import type { DeviceId } from "../../../book/identity.ts";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { type ChiefKey, keepChiefKey } from "../../session/chief-key.ts";
import { useServices } from "../../session/services.tsx";
import css from "./home.module.css";

/** The chief examiner on one more device: the key from the hub's terminal, and nothing else. */
export function ChiefForm({ onClaimed }: { onClaimed: (key: ChiefKey) => void }) {
  const { hub, makeId } = useServices();
  const say = useSay(homeWords);
  const sayFault = useSayFault();
  const [typed, setTyped] = useState("");
  const [isTried, setTried] = useState(false);
  const [isBusy, setBusy] = useState(false);
  const [fault, setFault] = useState<Fault>();

  async function submit(event: FormEvent) {
    event.preventDefault();
    setTried(true);
    if (typed.trim() === "") return;
    setBusy(true);
    setFault(undefined);
    const device = makeId() as DeviceId;
    const answer = await hub.claim(typed.trim(), device);
    setBusy(false);
    if (!answer.ok) return setFault(answer.fault);
    const mine = { token: answer.token, person: answer.person, device };
    keepChiefKey(mine);
    onClaimed(mine);
  }

  return (
    <form className={css.form} noValidate onSubmit={(event) => void submit(event)}>
      <TextField
        label={say("start-key")}
        hint={say("chief-key-hint")}
        value={typed}
        maxLength={64}
        fault={isTried && typed.trim() === "" ? say("needed") : undefined}
        needed
        onChange={setTyped}
      />
      {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}
      <div className={css.formKeys}>
        <Key kind="ink" type="submit" disabled={isBusy}>
          {say(isBusy ? "chief-looking" : "chief-go")}
        </Key>
      </div>
    </form>
  );
}
