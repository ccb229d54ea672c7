// Held by a judge, caller or desk helper who was just handed a tablet, standing, perhaps in a queue at the door.
// They look at the chief's screen and back; twenty seconds, one field to type: their name.
import { type FormEvent, useState } from "react";
import { Link, useNavigate } from "react-router";
import type { Role } from "../../../belt-test/kinds/body-parts.ts";
import type { Fault } from "../../../book/faults.ts";
import type { DeviceId, GradingId } from "../../../book/identity.ts";
import type { Pass } from "../../../ports/tablet-store.ts";
import joinWords from "../../../words/en/join.json" with { type: "json" };
import { isOutsideHomeScreen } from "../../device/is-outside-home-screen.ts";
import { Key, keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { testAddress } from "../../parts/test-pages.ts";
import { TextField } from "../../parts/text-field.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { PlainLine } from "../../session/plain-line.tsx";
import { saveScorebook } from "../../session/save-scorebook.ts";
import { useServices } from "../../session/services.tsx";
import css from "./join.module.css";

const wanted = ["judge", "caller", "desk"] as const satisfies readonly Role[];
const LONGEST_NAME = 60;

/** Lines of this test that no hub has, under the pass that they were written with; and what the hub answered meanwhile. */
interface Held {
  count: number;
  before: Pass;
  device: DeviceId;
  token: string;
}

export function JoinScreen() {
  const services = useServices();
  const navigate = useNavigate();
  const say = useSay(joinWords);
  const sayFault = useSayFault();
  const [code, setCode] = useState(() => codeIn(location.hash));
  const [hadCode] = useState(code !== "");
  const [name, setName] = useState("");
  const [wants, setWants] = useState<Role>("judge");
  const [isTried, setTried] = useState(false);
  const [isBusy, setBusy] = useState(false);
  const [fault, setFault] = useState<Fault>();
  const [held, setHeld] = useState<Held>();
  const wrongName =
    name.trim() === ""
      ? say("needed")
      : name.trim().length > LONGEST_NAME
        ? say("too-long", { limit: LONGEST_NAME })
        : undefined;
  const wrongCode = code.trim() === "" ? say("needed") : undefined;

  async function submit(event: FormEvent) {
    event.preventDefault();
    setTried(true);
    if (wrongName || wrongCode) return;
    setBusy(true);
    setFault(undefined);
    const { hub, makeId } = services;
    const device = makeId() as DeviceId;
    const answer = await hub.join(code.trim().toUpperCase(), device, name.trim(), wants);
    if (!answer.ok) {
      setFault(answer.fault);
      setBusy(false);
      return;
    }
    await comeIn(device, answer);
  }

  /** @param isSaved  what the tablet held of this test is in a file */
  async function comeIn(
    device: DeviceId,
    { token, grading }: { token: string; grading: GradingId },
    isSaved = false,
  ) {
    const { store, nowMs, closeSession } = services;
    try {
      // Another pass would orphan lines that only this device holds.
      const { entries } = await store.outbox(grading);
      const before = await store.pass(grading);
      if (before && entries.length > 0 && !isSaved) {
        setHeld({ count: entries.length, before, device, token });
        setBusy(false);
        return;
      }
      if (isSaved) await store.forget(grading);
      await store.keepPass({
        // What the hub signed before stays: it is what a rewritten record is known by.
        ...(before?.heads && { heads: before.heads }),
        grading,
        device,
        roles: [],
        token,
        name: name.trim(),
        cursor: 0,
        lastContactMs: nowMs(),
      });
    } catch (error) {
      setFault({ code: "STORE_CLOSED", with: { reason: String(error) } });
      setBusy(false);
      return;
    }
    // Somebody may have used this tablet for the same test before.
    closeSession(grading);
    await navigate(testAddress(grading));
  }

  async function saveAndComeIn({ before, device, token }: Held) {
    setBusy(true);
    await saveScorebook(services.store, { pass: before, title: before.title ?? before.name });
    await comeIn(device, { token, grading: before.grading }, true);
  }

  return (
    <>
      <PageBand
        title={say("title")}
        about={say("about")}
        keys={
          <Link {...keyLook} data-kind="quiet" to="/">
            {say("back")}
          </Link>
        }
      />
      <main className={css.root}>
        {window.isSecureContext && isOutsideHomeScreen() && (
          <Notice title={say("home-screen")}>
            {say("home-screen-text", { code: code === "" ? "none" : code })}
          </Notice>
        )}
        {!window.isSecureContext && <PlainLine code={code} />}
        <form noValidate onSubmit={(event) => void submit(event)}>
          <div className={css.code}>
            <TextField
              label={say("code")}
              hint={say("code-hint")}
              value={code}
              fault={isTried ? wrongCode : undefined}
              needed
              autoCapitalize="characters"
              spellCheck={false}
              autoFocus={!hadCode}
              onChange={setCode}
            />
          </div>
          <TextField
            label={say("name")}
            hint={say("name-hint")}
            value={name}
            fault={isTried ? wrongName : undefined}
            needed
            autoComplete="name"
            autoFocus={hadCode}
            onChange={setName}
          />
          <fieldset className={`${css.roles} one-of`}>
            <legend>{say("role")}</legend>
            {wanted.map((role) => (
              <label key={role}>
                <input
                  type="radio"
                  name="role"
                  checked={wants === role}
                  onChange={() => setWants(role)}
                />
                <span>
                  <b>{say(`role-${role}`)}</b>
                  <small>{say(`role-${role}-text`)}</small>
                </span>
              </label>
            ))}
          </fieldset>
          {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}
          {held && (
            <Notice
              kind="urgent"
              keys={
                <>
                  <Link {...keyLook} to={testAddress(held.before.grading)}>
                    {say("held-open")}
                  </Link>
                  <Key onClick={() => void saveAndComeIn(held)}>{say("held-save")}</Key>
                </>
              }
            >
              {say("held", { count: held.count, name: held.before.name })}
            </Notice>
          )}
          <Key kind="ink" type="submit" disabled={isBusy} className={css.go}>
            {say(isBusy ? "working" : "go")}
          </Key>
        </form>
      </main>
    </>
  );
}

/** The code in an address like `…/join#KX7P-2M`, as the QR code holds it. */
function codeIn(hash: string): string {
  try {
    return decodeURIComponent(hash.replace(/^#/, "")).slice(0, 32);
  } catch {
    return "";
  }
}
