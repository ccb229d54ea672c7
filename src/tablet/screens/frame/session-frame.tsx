import { lazy, Suspense, useEffect, useState } from "react";
import { Outlet, useLocation, useParams } from "react-router";
import { isUnderWay } from "../../../belt-test/scorebook/is-under-way.ts";
import type { GradingId } from "../../../book/identity.ts";
import frameWords from "../../../words/en/frame.json" with { type: "json" };
import { useAwake } from "../../device/use-awake.ts";
import { AtAnyMoment } from "../../parts/at-any-moment.ts";
import { Progress } from "../../parts/progress.tsx";
import { StopKey } from "../../parts/stop-key.tsx";
import { useSay } from "../../parts/use-say.ts";
import { type Session, SessionProvider, useServices, useSession } from "../../session/services.tsx";
import { stopFloor } from "../../session/stop-floor.ts";
import { HubAway } from "./hub-away.tsx";
import css from "./session-frame.module.css";
import { loadAfter } from "./stopped.tsx";
import { StoppedFloor } from "./stopped-floor.tsx";
import { useTroubles } from "./use-troubles.ts";

// While a test goes well, whoever is in sees none of these.
const Closed = lazy(async () => ({ default: (await import("./closed.tsx")).Closed }));
const ClosedStrip = lazy(async () => ({
  default: (await import("./closed-strip.tsx")).ClosedStrip,
}));
const FurtherDevices = lazy(async () => ({
  default: (await import("./further-devices.tsx")).FurtherDevices,
}));
const StopAtHand = lazy(async () => ({
  default: (await import("./stop-at-hand.tsx")).StopAtHand,
}));
const KeptAges = lazy(async () => ({ default: (await import("./kept-ages.tsx")).KeptAges }));
const NoPlace = lazy(async () => ({ default: (await import("./no-place.tsx")).NoPlace }));
const NotOpenStrip = lazy(async () => ({
  default: (await import("./not-open-strip.tsx")).NotOpenStrip,
}));
const Troubles = lazy(async () => ({ default: (await import("./troubles.tsx")).Troubles }));
const WaitingAtDoor = lazy(async () => ({
  default: (await import("./waiting-at-door.tsx")).WaitingAtDoor,
}));

/** Opens one grading on this device, and lays the stop over whatever is on the screen. */
export function SessionFrame() {
  const { grading } = useParams() as { grading: GradingId };
  const services = useServices();
  const { store, openSession } = services;
  const say = useSay(frameWords);
  const name = say("role-chief");
  const [session, setSession] = useState<Session | "opening" | "none">("opening");

  useEffect(() => {
    let isCurrent = true;
    void store.pass(grading).then(async (kept) => {
      // A chief's device may open whatever its hub holds, by its address too.
      const pass =
        kept ??
        (await import("../../session/pick-up.ts").then(
          ({ pickedUp }) => pickedUp(services, grading, name),
          () => undefined,
        ));
      const opened = pass ? await openSession(pass) : "none";
      if (isCurrent) setSession(opened);
    });
    return () => {
      isCurrent = false;
    };
  }, [grading, services, store, openSession, name]);

  if (session === "opening")
    return (
      <main className="plain-page" aria-busy="true">
        {say("opening")}
      </main>
    );
  if (session === "none")
    return (
      <Suspense>
        <NoPlace />
      </Suspense>
    );
  return (
    <SessionProvider session={session}>
      <Admitted />
    </SessionProvider>
  );
}

/** Screens that end with the belt test. */
const stops: ReadonlySet<string> = new Set(["judge", "caller"]);
/** Desk, set-up and board say in their own words that it is closed. */
const saysItself: ReadonlySet<string> = new Set(["desk", "set-up", "chief", ...stops]);

function Admitted() {
  const { notebook } = useSession();
  const say = useSay(frameWords);
  const screen = useLocation()
    .pathname.replace(/^\/tests\/[^/]+\/?/, "")
    .replace(/\/$/, "");
  useAwake(stops.has(screen));
  useEffect(() => void loadAfter().catch(() => undefined), []);
  const hasTroubles = useTroubles() !== null;
  if (!notebook.pass.person)
    return (
      <Suspense>
        <WaitingAtDoor />
      </Suspense>
    );
  const { catchingUp, isNew, link, pass } = notebook;
  // A device that opens a long day for the first time would otherwise see it rush past.
  if (isNew && pass.token && link !== "away" && link !== "closed") {
    return (
      <main className="plain-page">
        <Progress
          what={say("opening")}
          done={catchingUp?.heard ?? 0}
          {...(catchingUp ? { total: catchingUp.of } : {})}
        />
      </main>
    );
  }
  const { isStarted, isClosed } = notebook.book.plan;
  const isRunning = isUnderWay(notebook.book);
  const isChief = pass.roles.includes("chief");
  const isBegunUnopened = !isStarted && !isClosed && (isChief ? isRunning : stops.has(screen));
  const stop = isRunning ? <StopKey onStop={() => void stopFloor(notebook)} /> : null;
  const isTheirs = pass.roles.some((role) => role === screen || role === "chief");
  const hasEnded = notebook.book.plan.isClosed && stops.has(screen) && isTheirs;
  return (
    <AtAnyMoment value={stop}>
      <div className={css.root} data-part="session" data-whole={stops.has(screen) || undefined}>
        <StoppedFloor />
        {/* The judge's band says it itself. */}
        {screen !== "judge" && <HubAway />}
        {notebook.news.doorQuestions.length + notebook.book.floor.letIns.length > 0 && (
          <Suspense>
            <FurtherDevices />
          </Suspense>
        )}
        {(hasTroubles || notebook.pass.fromFiles) && (
          <Suspense>
            <Troubles />
          </Suspense>
        )}
        {isBegunUnopened && (
          <Suspense>
            <NotOpenStrip />
          </Suspense>
        )}
        {isChief && (
          <Suspense>
            <KeptAges />
          </Suspense>
        )}
        {notebook.book.plan.isClosed && !saysItself.has(screen) && (
          <Suspense>
            <ClosedStrip />
          </Suspense>
        )}
        {hasEnded ? (
          <Suspense>
            <Closed />
          </Suspense>
        ) : (
          <div className={css.screen} data-part="session-screen">
            <Outlet />
          </div>
        )}
        {stop && !stops.has(screen) && (
          <Suspense>
            <StopAtHand>{stop}</StopAtHand>
          </Suspense>
        )}
      </div>
    </AtAnyMoment>
  );
}
