import { useEffect, useState } from "react";
import { useNavigate } from "react-router";
import type { Fault } from "../../../book/faults.ts";
import type { GradingId } from "../../../book/identity.ts";
import type { GradingOnHub } from "../../../line/doors.ts";
import { longDay } from "../../../words/dates.ts";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { Progress } from "../../parts/progress.tsx";
import { testAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import type { ChiefKey } from "../../session/chief-key.ts";
import { pickUp } from "../../session/pick-up.ts";
import { useServices } from "../../session/services.tsx";
import css from "./home.module.css";

interface HubShelfProps {
  chiefKey: ChiefKey;
  /** Those this device has already are in the list above. */
  here: ReadonlySet<GradingId>;
  /** The hub does not know this device's key (any more). */
  onKeyLost: () => void;
}

/** The chief's belt tests that the hub holds and this device does not: each can be picked up here. */
export function HubShelf({ chiefKey, here, onKeyLost }: HubShelfProps) {
  const services = useServices();
  const navigate = useNavigate();
  const say = useSay(homeWords);
  const sayFault = useSayFault();
  const [held, setHeld] = useState<GradingOnHub[]>();
  const [fault, setFault] = useState<Fault>();
  const [opening, setOpening] = useState<GradingId>();
  const [tries, setTries] = useState(0);
  const { hub } = services;

  // biome-ignore lint/correctness/useExhaustiveDependencies: `tries` asks again.
  useEffect(() => {
    let isCurrent = true;
    void hub.gradings(chiefKey.token).then((answer) => {
      if (!isCurrent) return;
      if (answer.ok) setHeld(answer.gradings);
      else if (answer.fault.code === "TOKEN_WRONG") {
        // The key stays: another hub may have this address today, and its own comes back.
        onKeyLost();
      } else setFault(answer.fault);
    });
    return () => {
      isCurrent = false;
    };
  }, [hub, chiefKey, onKeyLost, tries]);

  async function open(grading: GradingOnHub) {
    setOpening(grading.grading);
    setFault(undefined);
    try {
      const answer = await pickUp(services, chiefKey, grading, say("role-chief"));
      if (answer.ok) return void (await navigate(testAddress(grading.grading)));
      setFault(answer.fault);
    } catch (error) {
      setFault({ code: "STORE_CLOSED", with: { reason: String(error) } });
    }
    setOpening(undefined);
  }

  const elsewhere = held?.filter(({ grading }) => !here.has(grading));
  if (elsewhere?.length === 0 && !fault) return null;
  return (
    <section className={css.line} aria-labelledby="home-shelf" aria-busy={!held && !fault}>
      <h2 id="home-shelf">{say("shelf-title")}</h2>
      {!held && !fault && <Progress what={say("shelf-reading")} done={0} />}
      {fault && (
        <Notice
          kind="urgent"
          keys={
            !held && (
              <Key
                onClick={() => {
                  setFault(undefined);
                  setTries(tries + 1);
                }}
              >
                {say("look-again")}
              </Key>
            )
          }
        >
          {sayFault(fault)}
        </Notice>
      )}
      <ul>
        {elsewhere?.map((one) => {
          const title = one.title || say("untitled");
          return (
            <li key={one.grading} className={css.bead} data-state={one.state}>
              <div className={css.grading}>
                <h3>{title}</h3>
                <p>
                  {one.date && <time dateTime={one.date}>{longDay(one.date, say.locale)}</time>}
                  {one.state && <span>{say(`state-${one.state}`)}</span>}
                  {one.isExample && <span>{say("invented")}</span>}
                  {one.entries !== undefined && (
                    <span>{say("shelf-lines", { count: one.entries })}</span>
                  )}
                </p>
                <div className={css.gradingKeys}>
                  <Key
                    aria-label={say("shelf-open-named", { title })}
                    disabled={opening !== undefined}
                    onClick={() => void open(one)}
                  >
                    {say(opening === one.grading ? "shelf-opening" : "shelf-open")}
                  </Key>
                </div>
              </div>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
