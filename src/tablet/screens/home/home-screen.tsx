// Held by anybody: a chief at a laptop on the morning, a judge handed a tablet at the hall's door.
// They look for one thing to press, and have ten seconds; a judge's own belt test must be the first thing found.
import { lazy, Suspense, useCallback, useEffect, useState, useSyncExternalStore } from "react";
import { Link, useNavigate } from "react-router";
import type { Fault } from "../../../book/faults.ts";
import type { DeviceId } from "../../../book/identity.ts";
import homeWords from "../../../words/en/home.json" with { type: "json" };
import { newVersion } from "../../device/new-version.ts";
import { Key } from "../../parts/key.tsx";
import { Notice } from "../../parts/notice.tsx";
import { Seal } from "../../parts/seal.tsx";
import { pageAddress } from "../../parts/test-pages.ts";
import { useSay } from "../../parts/use-say.ts";
import { useSayFault } from "../../parts/use-say-fault.ts";
import { type ChiefKey, chiefKeyIn, keepChiefKey, readChiefKey } from "../../session/chief-key.ts";
import { useServices } from "../../session/services.tsx";
import { GradingList } from "./grading-list.tsx";
import { type GradingHere, gradingsHere } from "./gradings-here.ts";
import css from "./home.module.css";
import { type Offer, offers } from "./offers.ts";

const SettingsDialog = lazy(async () => ({
  default: (await import("../../parts/settings-dialog.tsx")).SettingsDialog,
}));
const NewVersionNotice = lazy(async () => ({
  default: (await import("../../parts/new-version-notice.tsx")).NewVersionNotice,
}));
const StartForm = lazy(async () => ({ default: (await import("./start-form.tsx")).StartForm }));
const ChiefForm = lazy(async () => ({ default: (await import("./chief-form.tsx")).ChiefForm }));
const HomeNamesDue = lazy(async () => ({
  default: (await import("./home-names-due.tsx")).HomeNamesDue,
}));
const HubShelf = lazy(async () => ({ default: (await import("./hub-shelf.tsx")).HubShelf }));
const BackForm = lazy(async () => ({ default: (await import("./back-form.tsx")).BackForm }));
const PackForm = lazy(async () => ({ default: (await import("./pack-form.tsx")).PackForm }));

/** A hub that has not answered by then is none. Milliseconds. */
const PATIENCE_MS = 2500;

export function HomeScreen() {
  const services = useServices();
  const { hub: desk, store, makeId, nowMs } = services;
  const navigate = useNavigate();
  const say = useSay(homeWords);
  const sayFault = useSayFault();
  const [hub, setHub] = useState<"asking" | "none" | "empty" | "used">("asking");
  const [here, setHere] = useState<GradingHere[]>();
  const [key, setKey] = useState<ChiefKey | undefined>(readChiefKey);
  const [opened, setOpened] = useState<Offer>();
  const [fault, setFault] = useState<Fault>();
  const [isBusy, setBusy] = useState(false);
  const [isSetting, setSetting] = useState(false);

  const isNextWaiting = useSyncExternalStore(newVersion.subscribe, newVersion.isWaiting);

  const readHere = useCallback(async () => setHere(await gradingsHere(store)), [store]);
  const askHub = useCallback(async () => {
    setHub("asking");
    const late = new Promise<undefined>((resolve) => setTimeout(resolve, PATIENCE_MS, undefined));
    const answer = await Promise.race([desk.health(), late]);
    setHub(!answer?.ok ? "none" : answer.gradings === 0 ? "empty" : "used");
  }, [desk]);
  useEffect(() => {
    void readHere();
    void askHub();
  }, [readHere, askHub]);

  // The link in the hub's terminal brings the chief's key: shown once, and gone from the address bar.
  const [claimed, setClaimed] = useState(false);
  useEffect(() => {
    const shown = chiefKeyIn(location.hash);
    if (!shown) return;
    history.replaceState(history.state, "", location.pathname + location.search);
    const device = (readChiefKey()?.device ?? makeId()) as DeviceId;
    void desk.claim(shown, device).then((answer) => {
      if (!answer.ok) return setFault(answer.fault);
      const mine = { token: answer.token, person: answer.person, device };
      keepChiefKey(mine);
      setKey(mine);
      setClaimed(true);
    });
  }, [desk, makeId]);

  const openExample = useCallback(async () => {
    setBusy(true);
    setFault(undefined);
    const device = makeId() as DeviceId;
    const answer = await desk.openExample(device);
    setBusy(false);
    if (!answer.ok) return setFault(answer.fault);
    const { token, grading, person, title } = answer;
    if (!readChiefKey()) keepChiefKey({ token, person, device });
    await store.keepPass({
      grading,
      device,
      person,
      roles: ["chief"],
      token,
      name: say("role-chief"),
      title,
      cursor: 0,
      lastContactMs: nowMs(),
    });
    // Under way already, though this device has not heard so yet.
    await navigate(pageAddress(grading, "board"));
  }, [desk, makeId, navigate, nowMs, say, store]);
  // So does the link of a demonstration: it leads straight into the example.
  useEffect(() => {
    if (location.hash !== "#example") return;
    history.replaceState(history.state, "", location.pathname + location.search);
    void openExample();
  }, [openExample]);

  const [isKeyLost, setKeyLost] = useState(false);
  const keyLost = useCallback(() => {
    setKey(undefined);
    setClaimed(false);
    setKeyLost(true);
  }, []);
  const isReady = hub !== "asking" && here !== undefined;
  const offered = isReady
    ? offers(hub, { hasGradings: here.length > 0, isChief: key !== undefined })
    : [];
  return (
    <main className={css.root}>
      <header className={css.head}>
        <Seal size={56} />
        <div>
          <h1>Evenhand</h1>
          <p>{say("tagline")}</p>
        </div>
        <Key kind="quiet" onClick={() => setSetting(true)}>
          {say("settings")}
        </Key>
      </header>

      <Suspense>{isNextWaiting && <NewVersionNotice />}</Suspense>
      {claimed && (
        <Notice kind="done" title={say("chief-here")}>
          {say(hub === "used" ? "chief-here-found" : "chief-here-next")}
        </Notice>
      )}
      {isKeyLost && !key && <Notice title={say("key-lost")}>{say("key-lost-next")}</Notice>}
      {fault && <Notice kind="urgent">{sayFault(fault)}</Notice>}

      <Suspense>{key && hub === "used" && <HomeNamesDue token={key.token} />}</Suspense>

      {here && here.length > 0 && (
        <section className={css.line} aria-labelledby="home-here">
          <h2 id="home-here">{say("here-title")}</h2>
          <GradingList gradings={here} onChanged={() => void readHere()} />
        </section>
      )}

      <Suspense>
        {key && here && hub === "used" && (
          <HubShelf
            chiefKey={key}
            here={new Set(here.map(({ pass }) => pass.grading))}
            onKeyLost={keyLost}
          />
        )}
      </Suspense>

      <section className={css.line} aria-labelledby="home-begin" aria-busy={!isReady}>
        <h2 id="home-begin">{say("begin-title")}</h2>
        <ul>
          {offered.map(({ offer, isFirst }) => (
            <li key={offer} className={css.bead} data-first={isFirst || undefined}>
              {offer === "join" ? (
                <Link className={css.offer} to="/join">
                  <b>{say("join")}</b>
                  <span>{say("join-text")}</span>
                </Link>
              ) : (
                <button
                  type="button"
                  className={css.offer}
                  disabled={isBusy}
                  aria-expanded={offer === "example" ? undefined : opened === offer}
                  onClick={() => {
                    if (offer === "example") void openExample();
                    else setOpened(opened === offer ? undefined : offer);
                  }}
                >
                  <b>{say(offer === "example" && isBusy ? "example-opening" : offer)}</b>
                  <span>
                    {say(
                      offer === "start" && hub === "none" ? "start-text-alone" : `${offer}-text`,
                    )}
                  </span>
                </button>
              )}
              <Suspense>
                {offer === "start" && opened === "start" && (
                  <StartForm
                    hasHub={hub !== "none"}
                    chiefKey={key}
                    onClaimed={setKey}
                    onCancel={() => setOpened(undefined)}
                  />
                )}
                {offer === "chief" && opened === "chief" && (
                  <ChiefForm
                    onClaimed={(mine) => {
                      setKey(mine);
                      setClaimed(true);
                      setFault(undefined);
                      setOpened(undefined);
                    }}
                  />
                )}
                {offer === "pack" && opened === "pack" && <PackForm />}
                {offer === "back" && opened === "back" && key && (
                  <BackForm
                    chiefKey={key}
                    onClaimed={(mine) => {
                      setKey(mine);
                      setClaimed(true);
                      setOpened(undefined);
                      void askHub();
                    }}
                  />
                )}
              </Suspense>
            </li>
          ))}
        </ul>
        <p className={css.hub} role="status">
          {say(hub === "asking" ? "looking" : hub === "none" ? "hub-none" : "hub-here")}{" "}
          {hub === "none" && (
            <button type="button" className={css.again} onClick={() => void askHub()}>
              {say("look-again")}
            </button>
          )}
        </p>
      </section>

      <Suspense>{isSetting && <SettingsDialog onClose={() => setSetting(false)} />}</Suspense>
    </main>
  );
}
