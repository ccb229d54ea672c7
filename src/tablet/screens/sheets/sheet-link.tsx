import { useEffect, useRef, useState } from "react";
import type { CandidateId } from "../../../belt-test/identity.ts";
import type { Fault } from "../../../book/faults.ts";
import type { SheetLink } from "../../../line/doors.ts";
import { dayAt } from "../../../words/dates.ts";
import familyWords from "../../../words/en/family.json" with { type: "json" };
import { Dialog } from "../../parts/dialog.tsx";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { QrCode } from "../../parts/qr-code.tsx";
import { reachable } from "../../parts/reachable.ts";
import { SelectField } from "../../parts/select-field.tsx";
import { TextField } from "../../parts/text-field.tsx";
import { useReturnOfFocus } from "../../parts/use-return-of-focus.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { givenName } from "../../session/names.ts";
import { useNotebook, useServices } from "../../session/services.tsx";
import css from "./sheets.module.css";

const DAYS = ["7", "14", "30", "90"] as const;

interface SheetLinkDialogProps {
  candidate: CandidateId;
  /** The chief's, for the hub. */
  token: string;
  onClose: () => void;
}

/** Makes a link for one family, shows it once, and takes links back. */
export function SheetLinkDialog({ candidate, token, onClose }: SheetLinkDialogProps) {
  const notebook = useNotebook();
  const { grading } = notebook.pass;
  const { hub } = useServices();
  const say = useSay(familyWords);
  const sayFault = useSayFault();
  const [days, setDays] = useState<(typeof DAYS)[number]>("14");
  const [made, setMade] = useState<{ address: string; until: number }>();
  const [links, setLinks] = useState<readonly SheetLink[]>();
  const [fault, setFault] = useState<Fault>();
  const [isRevoked, setRevoked] = useState(false);
  useReturnOfFocus();

  useEffect(() => {
    let isHere = true;
    void hub.sheetLinks(token, grading).then((answer) => {
      if (!isHere) return;
      if (answer.ok) setLinks(answer.links);
      else setFault(answer.fault);
    });
    return () => {
      isHere = false;
    };
  }, [hub, token, grading]);

  async function make() {
    setRevoked(false);
    const answer = await hub.makeSheetLink(token, grading, candidate, Number(days));
    setFault(answer.ok ? undefined : answer.fault);
    if (!answer.ok) return;
    const { link, addresses } = answer;
    const [origin = location.origin] = reachable(addresses);
    setMade({ address: `${origin}/sheet#${link.token}`, until: link.expiresAtMs });
    setLinks([...(links ?? []), link]);
  }
  async function takeBack(id: string) {
    const answer = await hub.revokeSheetLink(token, grading, id);
    setFault(answer.ok ? undefined : answer.fault);
    if (!answer.ok) return;
    setLinks(answer.links);
    setMade(undefined);
    setRevoked(true);
  }

  const its = links?.filter((link) => link.candidate === candidate);
  return (
    <Dialog
      open
      title={say("link-title", {
        number: notebook.book.plan.entrant(candidate)?.number ?? "",
        given: givenName(notebook, candidate),
      })}
      onClose={onClose}
      keys={
        !made && (
          <Key kind="ink" onClick={() => void make()}>
            {say("link-make")}
          </Key>
        )
      }
    >
      <p>{say("link-about")}</p>
      {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}
      {isRevoked && <Notice kind="done">{say("link-revoked")}</Notice>}
      {made ? (
        <MadeLink address={made.address} />
      ) : (
        <SelectField
          label={say("link-days")}
          value={days}
          options={DAYS.map((value) => ({
            value,
            label: say("link-for", { days: Number(value) }),
          }))}
          onChange={setDays}
        />
      )}
      {its && (
        <section className={css.links}>
          <h3>{say("link-list")}</h3>
          {its.length === 0 && <p>{say("link-none")}</p>}
          <ul>
            {its.map(({ id, madeAtMs, expiresAtMs }) => (
              <li key={id}>
                <span>
                  {say("link-row", {
                    made: dayAt(madeAtMs, say.locale),
                    until: dayAt(expiresAtMs, say.locale),
                  })}
                </span>
                <Key kind="quiet" onClick={() => void takeBack(id)}>
                  {say("link-revoke")}
                </Key>
              </li>
            ))}
          </ul>
        </section>
      )}
    </Dialog>
  );
}

function MadeLink({ address }: { address: string }) {
  const say = useSay(familyWords);
  const field = useRef<HTMLInputElement>(null);
  const [copied, setCopied] = useState<"copied" | "by-hand">();

  async function copy() {
    field.current?.select();
    // Without TLS a page may not write to the clipboard: then the link is marked, to be copied as people do.
    const isDone = await navigator.clipboard?.writeText(address).then(
      () => true,
      () => false,
    );
    setCopied(isDone ? "copied" : "by-hand");
  }
  return (
    <div className={css.linkMade}>
      <QrCode text={address} label={say("link-qr")} />
      <div>
        <Notice>{say("link-new")}</Notice>
        <TextField
          label={say("link-address")}
          value={address}
          readOnly
          ref={field}
          onChange={() => undefined}
          onFocus={(event) => event.currentTarget.select()}
        />
        <Key onClick={() => void copy()}>{say("link-copy")}</Key>
        {copied && <p role="status">{say(`link-${copied}`)}</p>}
      </div>
    </div>
  );
}
