import { useState } from "react";
import { Link } from "react-router";
import troublesWords from "../../../words/en/troubles.json" with { type: "json" };
import { Key, keyLook } from "../../parts/key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { useNotebook } from "../../session/services.tsx";
import { useSayNamedFault } from "../../session/use-say-named-fault.ts";
import { FilesWait } from "./files-wait.tsx";
import { LocksWait } from "./locks-wait.tsx";
import css from "./troubles.module.css";
import { useTroubles } from "./use-troubles.ts";

/** What this device cannot do, in words, above whatever is on the screen: a disk that does not keep, lines the hub refused or a newer app wrote, a hub that said goodbye, names that expired. On a phone, over marking and calling, one line of it with a key for the rest. */
export function Troubles() {
  return (
    <>
      <FilesWait />
      <WhatIsWrong />
    </>
  );
}

function WhatIsWrong() {
  const notebook = useNotebook();
  const { pass, outbox } = notebook;
  const { unsent } = outbox;
  const say = useSay(troublesWords);
  const sayFault = useSayNamedFault();
  const [isOpen, setOpen] = useState(false);
  const troubles = useTroubles();
  if (!troubles) return null;
  const { fault, farewell, waiting, refused, damage, unread } = troubles;
  const { isNameless, isParted, isRoomLittle } = troubles;
  const reasons = [...new Set(refused.map(sayFault))];
  return (
    <div className={css.root} data-open={isOpen || undefined}>
      <div className={css.text} role="alert">
        {fault && <p>{sayFault(fault)}</p>}
        {damage && <p>{sayFault(damage)}</p>}
        {isRoomLittle && <p>{say("room-little")}</p>}
        {isParted && (
          <p>
            {say("record-parted")} {say("record-parted-next")}
          </p>
        )}
        {waiting.length > 0 && <LocksWait waiting={waiting} />}
        {refused.length > 0 && (
          <p>
            {say("refused-lines", { count: refused.length })} {reasons.join(" ")}{" "}
            <Key kind="quiet" onClick={() => void notebook.putAside(true)}>
              {say("refused-aside", { count: refused.length })}
            </Key>
          </p>
        )}
        {unread > 0 && (
          <p>
            {say("unread-lines", { count: unread })} {say("unread-lines-next")}
          </p>
        )}
        {isNameless && (
          <p>
            {say("names-gone")} {say(pass.token ? "names-gone-hub" : "names-gone-pack")}{" "}
            {pass.token && unsent > 0 && say("names-gone-unsent", { count: unsent })}
          </p>
        )}
        {farewell && (
          <p>
            {say("closed-by-hub")} {sayFault(farewell)}{" "}
            {farewell.code === "NOT_ADMITTED" ? (
              <Link {...keyLook} to="/join">
                {say("join-again")}
              </Link>
            ) : (
              say("asks-on")
            )}
          </p>
        )}
      </div>
      <button type="button" aria-expanded={isOpen} onClick={() => setOpen(!isOpen)}>
        {say(isOpen ? "trouble-fold" : "trouble-whole")}
      </button>
    </div>
  );
}
