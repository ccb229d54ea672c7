import { type FormEvent, useState } from "react";
import { useNavigate } from "react-router";
import type { Fault } from "../../../book/faults.ts";
import type { DeviceId } from "../../../book/identity.ts";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { type ChiefKey, keepChiefKey, readChiefKey } from "../../session/chief-key.ts";
import { useServices } from "../../session/services.tsx";
import css from "./home.module.css";
import { startGrading } from "./start-grading.ts";

interface StartFormProps {
  hasHub: boolean;
  chiefKey: ChiefKey | undefined;
  onClaimed: (key: ChiefKey) => void;
  onCancel: () => void;
}

/** What a new belt test needs before it can be planned: a name, a day, and its chief examiner. */
export function StartForm({ hasHub, chiefKey, onClaimed, onCancel }: StartFormProps) {
  const services = useServices();
  const navigate = useNavigate();
  const say = useSay(homeWords);
  const sayFault = useSayFault();
  const [draft, setDraft] = useState(() => ({
    title: "",
    date: localDay(services.nowMs()),
    chief: "",
    key: "",
  }));
  const [isTried, setTried] = useState(false);
  const [isBusy, setBusy] = useState(false);
  const [fault, setFault] = useState<Fault>();
  const [needsKey, setNeedsKey] = useState(hasHub && !chiefKey);
  const put = (part: Partial<typeof draft>) => setDraft({ ...draft, ...part });

  const wrong = {
    title: textFault(draft.title, 120),
    chief: textFault(draft.chief, 80),
    date: /^\d{4}-\d{2}-\d{2}$/.test(draft.date) ? undefined : say("date-wrong"),
    key: needsKey ? textFault(draft.key, 64) : undefined,
  };
  function textFault(text: string, limit: number): string | undefined {
    if (text.trim() === "") return say("needed");
    return text.trim().length > limit ? say("too-long", { limit }) : undefined;
  }

  async function submit(event: FormEvent) {
    event.preventDefault();
    setTried(true);
    if (Object.values(wrong).some(Boolean)) return;
    setBusy(true);
    setFault(undefined);
    try {
      const answer = await open();
      if (answer.ok) return void (await navigate(pageAddress(answer.grading, "set-up")));
      setFault(answer.fault);
      if (answer.fault.code === "TOKEN_WRONG") setNeedsKey(true);
    } catch (error) {
      setFault({ code: "STORE_CLOSED", with: { reason: String(error) } });
    }
    setBusy(false);
  }

  async function open() {
    const plan = {
      title: draft.title.trim(),
      date: draft.date,
      chief: draft.chief.trim(),
    };
    if (!hasHub) return startGrading(services, plan, undefined);
    if (!needsKey) return startGrading(services, plan, chiefKey ?? readChiefKey());
    const device = services.makeId() as DeviceId;
    const claimed = await services.hub.claim(draft.key.trim(), device);
    if (!claimed.ok) return claimed;
    const mine = { token: claimed.token, person: claimed.person, device };
    // The key opens once: kept before anything else can go wrong.
    keepChiefKey(mine);
    onClaimed(mine);
    setNeedsKey(false);
    return startGrading(services, plan, mine);
  }

  return (
    <form className={css.form} noValidate onSubmit={(event) => void submit(event)}>
      <TextField
        label={say("start-name")}
        hint={say("start-name-hint")}
        value={draft.title}
        fault={isTried ? wrong.title : undefined}
        needed
        onChange={(title) => put({ title })}
      />
      <TextField
        label={say("start-date")}
        type="date"
        value={draft.date}
        fault={isTried ? wrong.date : undefined}
        needed
        onChange={(date) => put({ date })}
      />
      <TextField
        label={say("start-chief")}
        value={draft.chief}
        autoComplete="name"
        fault={isTried ? wrong.chief : undefined}
        needed
        onChange={(chief) => put({ chief })}
      />
      {needsKey && (
        <TextField
          label={say("start-key")}
          hint={say("start-key-hint")}
          value={draft.key}
          fault={isTried ? wrong.key : undefined}
          needed
          onChange={(key) => put({ key })}
        />
      )}
      {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}
      <div className={css.formKeys}>
        <Key kind="quiet" onClick={onCancel}>
          {say("cancel")}
        </Key>
        <Key kind="ink" type="submit" disabled={isBusy}>
          {say(isBusy ? "start-working" : "start-go")}
        </Key>
      </div>
    </form>
  );
}

/** The day here, not in Greenwich. */
function localDay(atMs: number): string {
  const at = new Date(atMs);
  const two = (part: number) => String(part).padStart(2, "0");
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}
