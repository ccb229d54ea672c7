import { v7 as uuidv7 } from "uuid";
import type { GradingId } from "../book/identity.ts";
import type { Pass } from "../ports/tablet-store.ts";
import { askToKeep } from "./device/keeping.ts";
import { newVersion } from "./device/new-version.ts";
import { httpHubDesk } from "./link/http-hub-desk.ts";
import { socketHubLink } from "./link/socket-hub-link.ts";
import "./look/look.css";
import { hubsFrom } from "./link/hubs-from.ts";
import { applySettings, readSettings } from "./look/settings.ts";
import { Router } from "./router.tsx";
import { Notebook } from "./session/notebook.ts";
import { expireRosters } from "./session/roster-expiry.ts";
import { type Services, ServicesProvider, type Session } from "./session/services.tsx";
import { joinHub } from "./session/uplink.ts";
import { show } from "./show.tsx";
import { openDexieScorebook } from "./storage/dexie-scorebook.ts";

// The one place where the clock, chance, the disk and the network come in.
const store = openDexieScorebook("evenhand");
const nowMs = () => Date.now();
/** The line of the hub at this origin. */
function lineOf(origin: string): string {
  const line = new URL("/api/sync", origin);
  line.protocol = line.protocol === "https:" ? "wss:" : "ws:";
  return line.href;
}

const open = new Map<GradingId, { session: Promise<Session>; leave: () => void }>();

// Names of children stay on a tablet for a week without its hub, and no longer: also where the app is left open.
const notebooks = new Map<GradingId, Notebook>();
const expireNow = () => expireRosters(store, nowMs(), notebooks).catch(() => []);
const expiring = expireNow();
setInterval(expireNow, 60 * 60 * 1000);

function openSession(pass: Pass): Promise<Session> {
  const known = open.get(pass.grading);
  if (known) return known.session;
  const entry = { session: start(pass), leave: () => {} };
  open.set(pass.grading, entry);
  return entry.session;

  async function start(asked: Pass): Promise<Session> {
    await expiring;
    void askToKeep(navigator.storage);
    const pass = (await store.pass(asked.grading)) ?? asked;
    const notebook = await Notebook.open({ store, pass, makeId: uuidv7, nowMs });
    notebooks.set(pass.grading, notebook);
    if (!pass.token) return { notebook, sendPace: () => {}, answerDoor: () => {} };
    const { leave, ...saying } = joinHub(
      notebook,
      socketHubLink(() => hubsFrom(location.origin, notebook.pass.hubs).map(lineOf)),
    );
    entry.leave = leave;
    return { notebook, ...saying };
  }
}

const services: Services = {
  store,
  hub: httpHubDesk(location.origin),
  openSession,
  closeSession(grading) {
    open.get(grading)?.leave();
    open.delete(grading);
    notebooks.delete(grading);
  },
  makeId: uuidv7,
  random: (bytes) => crypto.getRandomValues(new Uint8Array(bytes)),
  nowMs,
};

applySettings(readSettings());
if (import.meta.env.PROD) void newVersion.keepApp(navigator.serviceWorker);

void show(
  "evenhand",
  <ServicesProvider services={services}>
    <Router />
  </ServicesProvider>,
);
