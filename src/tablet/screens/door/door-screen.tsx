// Held by the chief examiner, standing by the hall's door or at the table while tablets are handed out.
// Others look at the code over the chief's shoulder; the chief looks at a name and lets it in: three seconds a tablet.
import { useState } from "react";
import { Link } from "react-router";
import type { Fault } from "../../../book/faults.ts";
import type { Answer } from "../../../ports/hub-desk.ts";
import doorWords from "../../../words/en/door.json" with { type: "json" };
import { EmptyState } from "../../parts/empty-state.tsx";
import { keyLook } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { PageBand } from "../../parts/page-band.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { useNotebook } from "../../session/services.tsx";
import { WayAround } from "../../session/way-around.tsx";
import css from "./door.module.css";
import { DoorAdmitted } from "./door-admitted.tsx";
import { DoorChiefs } from "./door-chiefs.tsx";
import { DoorCode } from "./door-code.tsx";
import { useDoorDevices } from "./door-devices.ts";
import { DoorWaiting } from "./door-waiting.tsx";

export function DoorScreen() {
  const { book, pass, news } = useNotebook();
  const say = useSay(doorWords);
  const sayFault = useSayFault();
  const { devices, damaged, fault, look } = useDoorDevices();
  const [refusal, setRefusal] = useState<Fault>();
  const [done, setDone] = useState<string>();
  const { token } = pass;

  /** Waits for the hub, shows what it refused, and looks again. */
  async function ask<T extends object>(
    answer: Promise<Answer<T>>,
    words?: (given: T) => string | undefined,
  ): Promise<void> {
    const given = await answer;
    setRefusal(given.ok ? undefined : given.fault);
    setDone(given.ok ? words?.(given) : undefined);
    await look();
  }
  const shown = refusal ?? fault;
  return (
    <>
      <PageBand
        title={say("title")}
        about={say("about", {
          title: book.plan.opened?.title ?? "",
          online: news.presence.filter(({ online }) => online).length,
        })}
        keys={<WayAround />}
      />
      {token ? (
        <main className={css.root}>
          {book.plan.isClosed ? (
            <section className={css.code}>
              <h2>{say("closed")}</h2>
              <p>{say("closed-text")}</p>
            </section>
          ) : (
            <DoorCode token={token} />
          )}
          <div className="stack-5">
            {shown && <Notice kind="urgent">{sayFault(shown)}</Notice>}
            {damaged > 0 && <Notice>{say("damaged", { count: damaged })}</Notice>}
            <DoorWaiting token={token} devices={devices} onAsk={ask} />
            {done && <Notice kind="done">{done}</Notice>}
            <DoorAdmitted token={token} devices={devices} onAsk={ask} />
            <DoorChiefs token={token} />
          </div>
        </main>
      ) : (
        <main>
          <EmptyState
            title={say("no-hub")}
            keys={
              <Link {...keyLook} to={`${pageAddress(pass.grading, "set-up")}?step=ready`}>
                {say("to-files")}
              </Link>
            }
          >
            {say("no-hub-text")}
          </EmptyState>
        </main>
      )}
    </>
  );
}
