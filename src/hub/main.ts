import { readFileSync } from "node:fs";
import { networkInterfaces } from "node:os";
import { type Fault, FaultError } from "../book/faults.ts";
import { platformClock } from "../ports/clock.ts";
import { buildHub, type Hub, type HubSettings } from "./build-hub.ts";
import { Backups } from "./copies/backups.ts";
import { dropBroughtBack } from "./copies/brought-back.ts";
import { copiesAhead } from "./copies/copy-ahead.ts";
import { diskBeside } from "./copies/disk-beside.ts";
import { markOf } from "./copies/whose-copy.ts";
import { FrontDesk } from "./door/front-desk.ts";
import {
  damagedNotes,
  forgetAgain,
  openTakenAway,
  type TakenAway,
} from "./forgetting/forget-again.ts";
import { GoneSoFar } from "./forgetting/gone-so-far.ts";
import { notedDoor } from "./forgetting/noted-door.ts";
import { SharedNotes } from "./forgetting/shared-notes.ts";
import { formerAddresses } from "./former-addresses.ts";
import { Neighbours } from "./hall/neighbours.ts";
import type { Announced } from "./mdns/announced.ts";
import { noteCopied } from "./store/is-copy.ts";
import { logOf } from "./store/open-mark.ts";
import { openStore } from "./store/open-store.ts";
import { storeFile } from "./store/store-file.ts";
import type { HubStore } from "./store/store-home.ts";
import { storesBeside } from "./store/stores-beside.ts";
import { lostPlansIn } from "./test-room/lost-plan.ts";
import { testBooks } from "./test-room/test-books.ts";
import type { HallCertificate } from "./tls/hall-certificate.ts";
import { hallNames, isOfTheHall } from "./tls/hall-names.ts";
import type { SecureLine } from "./tls/secure-line.ts";

/** How often a command's notes are looked for. Milliseconds. */
const LOOK_AT_NOTES_MS = 500;

export interface StartSettings {
  port: number;
  host: string;
  dataFolder: string;
  /** `postgres://…`: a database that several hubs may share; otherwise a file in the data folder. */
  store?: string | undefined;
  tabletFolder?: string;
  /** Listens over TLS too, at this port or else, where nobody asked for this one, not at all. */
  tls?: { port: (plainPort: number) => number; isAskedFor: boolean } | undefined;
  names?: readonly string[];
  /** Answers to a name of its own in the hall; `port` only to be left alone by other hubs. */
  announce?: { port?: number } | undefined;
  triesAMinute?: number;
  more?: NonNullable<HubSettings["more"]>;
  /** Copies made by itself: where, how often (0: only at the closing of a test and at the end), and how one is made. */
  backups?: ConstructorParameters<typeof Backups>[0];
  bringBack?: HubSettings["bringBack"];
  /** Told of a test that is damaged on the disk. */
  onTrouble?: HubSettings["onTrouble"];
}
export interface RunningHub extends Pick<Hub, "desk" | "rooms"> {
  port: number;
  /** Where people in the hall reach this hub; the machine itself last. */
  addresses: string[];
  /** The same over TLS, and what tablets trust it by; `taken` where another program has the port. */
  secure?:
    | {
        port: number;
        addresses: string[];
        name: string;
        fingerprint: string;
        notice: HallCertificate["notice"];
      }
    | "taken";
  /** Its own name in the hall, soon after the start; undefined where it has none. */
  hallName: Promise<string | undefined>;
  /** How the last run here ended, where it was not told to end. */
  leftOpen: HubStore["leftOpen"];
  /** Notes beside the store that are not as they were written. */
  damagedNotes: readonly Fault[];
  /** Why this hub may hold less than was acknowledged: its log is damaged, or a copy of its own holds more. */
  behind: readonly Fault[];
  /** Resolves when the store can never be used again by this process. */
  failed: HubStore["failed"];
  /** The folder or the database that belt tests are kept in; never a password. */
  keptIn: string;
  close(): Promise<void>;
}

/** Whether its file is at its place, a hub that nobody writes to looks so often. Milliseconds. */
const WATCH_EVERY_MS = 5_000;

/** Opens the data folder and listens. @throws FaultError PORT_IN_USE, STORE_IN_USE, STORE_DAMAGED, STORE_LOST, STORE_UNREACHABLE, KEY_DAMAGED. */
export async function startHub(settings: StartSettings): Promise<RunningHub> {
  const { dataFolder, store, onTrouble, backups: copies } = settings;
  const opened = await openStore(dataFolder, store, testBooks, { onWaiting: onTrouble });
  const beside = copies && diskBeside();
  const backups =
    copies &&
    new Backups({
      ...copies,
      beside: () => storesBeside(dataFolder),
      ...(beside && { disk: beside.disk, closeDisk: beside.close }),
      findAhead: (found, disk) => copiesAhead(found, opened.store, disk),
      async copy(file) {
        opened.mustBeThere();
        return copies.copy(file);
      },
    });
  void opened.failed.then(({ fault }) => {
    if (fault.code === "STORE_MOVED") backups?.giveUp();
  });
  try {
    return await startOn(opened, backups, settings);
  } catch (error) {
    backups?.giveUp();
    // Else the next start would look for a log that went with this one.
    await opened.close();
    throw error;
  }
}

async function startOn(
  opened: HubStore,
  backups: Backups | undefined,
  settings: StartSettings,
): Promise<RunningHub> {
  const { port, host, dataFolder, backups: _, tls, announce, ...rest } = settings;
  const { store, news } = opened;
  let shared: SharedNotes | undefined;
  const notes: TakenAway = openTakenAway(dataFolder, () => void shared?.level());
  const desk = await FrontDesk.open(opened.door, Date.now, news, notedDoor(notes, Date.now));
  const { door, isShared } = opened;
  const neighbours = isShared ? new Neighbours(door, news, platformClock) : undefined;
  shared = isShared ? new SharedNotes(door, notes, news, platformClock) : undefined;
  await shared?.level();
  const { waits, waiting } = await forgetAgain(opened, notes);
  const [wait] = waits;
  if (wait) settings.onTrouble?.(wait);
  const { erased: erasedLog, revoked } = notes;
  const gone = new GoneSoFar(erasedLog, waiting);
  dropBroughtBack(dataFolder);
  const ahead = await backups?.belongsTo(markOf(desk.fingerprint));
  const damage = await logDamage(opened, dataFolder);
  const lostPlans = lostPlansIn(opened.door);
  await noteCopied(
    opened.door,
    () => store.gradings(),
    (grading) => lostPlans.note(grading, true),
  );
  backups?.beginsWithout(gone.word);
  const certificate = tls && (await openCertificate(dataFolder));
  let secureLine: SecureLine | undefined;
  let announced: Announced | undefined;
  let listening = port;
  const addresses = () => addressesOf(host, listening);
  /** Where tablets reach it now, under either scheme; "localhost" is every machine's own. */
  const origins = () =>
    [...addresses(), ...(secureLine ? addressesOf(host, secureLine.port, "https") : [])].filter(
      (address) => !address.includes("//localhost:"),
    );
  const { app, rooms, retention, crowd, inTurn } = await buildHub({
    ...rest,
    store,
    storeName: opened.name,
    news,
    neighbours,
    desk,
    erasedLog,
    gone,
    revoked,
    ...(backups && { backups }),
    bringBack: settings.bringBack,
    ...(certificate && { trust: { certificate, port: () => secureLine?.port } }),
    addresses,
    hallName: () => announced?.name,
    formerly: () => formerAddresses(dataFolder, origins(), Date.now()),
    version: version(),
  });
  try {
    await app.listen({ port, host });
  } catch (error) {
    await app.close();
    if ((error as { code?: string }).code !== "EADDRINUSE") throw error;
    throw new FaultError({ code: "PORT_IN_USE", with: { port } }, { cause: error });
  }
  const bound = app.server.address();
  if (typeof bound === "object" && bound) listening = bound.port;
  const names = () =>
    hallNames([host, ...(settings.names ?? []), ...[announced?.name ?? []].flat()]);
  if (tls && certificate)
    try {
      const { listenSecurely } = await import("./tls/secure-line.ts");
      const wanted = tls.port(listening);
      secureLine = await listenSecurely(app, {
        port: wanted,
        host,
        certificate,
        names,
        clock: platformClock,
        crowd,
        inTurn,
      });
    } catch (error) {
      const isTaken = (error as { code?: string }).code === "EADDRINUSE";
      if (!isTaken || tls.isAskedFor) {
        await app.close();
        if (!isTaken) throw error;
        const taken = { code: "PORT_IN_USE", with: { port: tls.port(listening) } } as const;
        throw new FaultError(taken, { cause: error });
      }
    }
  const ports = { http: listening, https: secureLine?.port };
  const enter = () => neighbours?.enter(...originsOf(host, names(), ports));
  await enter();
  if (announce) {
    const { Announced } = await import("./mdns/announced.ts");
    announced = new Announced({
      addresses: () => hallAddresses(host),
      ports,
      clock: platformClock,
      port: announce.port,
      onName: () => {
        secureLine?.look();
        enter()?.catch((error: unknown) => app.log.error(error));
      },
    });
  }
  const stopFollowing = shared?.follow(() => backups?.erased(gone.word));
  formerAddresses(dataFolder, origins(), Date.now());
  const stopLooking = retention.begin((error) => app.log.error(error));
  // A command that shut a device out wrote so beside the store; its lines are cut here.
  const stopEnding = platformClock.every(LOOK_AT_NOTES_MS, () => {
    endNoted(notes, desk).catch((error: unknown) => app.log.error(error));
  });
  const stopWatching = platformClock.every(WATCH_EVERY_MS, opened.look);
  return {
    desk,
    rooms,
    port: listening,
    addresses: addresses(),
    ...(certificate && {
      secure: secureLine ? spoken(certificate, host, secureLine.port) : "taken",
    }),
    hallName: announced?.first ?? Promise.resolve(undefined),
    keptIn: opened.place,
    leftOpen: opened.leftOpen,
    behind: [...damage, ...(ahead ? [ahead] : [])],
    damagedNotes: damagedNotes(dataFolder, notes),
    failed: opened.failed,
    async close() {
      announced?.close();
      neighbours?.leave();
      stopLooking();
      stopEnding();
      stopWatching();
      stopFollowing?.();
      await app.close();
      await secureLine?.close();
      await backups?.close();
      if (damage.length > 0) await opened.door.takeSetting(LOG_DAMAGED, "yes");
      await opened.close();
    },
  };
}

const LOG_DAMAGED = "log-damaged";
/** Kept until a hub that has said it is told to end: one that cannot listen, or is killed at once, has said it to nobody. */
async function logDamage({ door, leftOpen }: HubStore, dataFolder: string): Promise<Fault[]> {
  if (leftOpen?.isLogDamaged) await door.keepSetting(LOG_DAMAGED, "yes");
  if ((await door.setting(LOG_DAMAGED)) === undefined) return [];
  const file = storeFile(dataFolder);
  return [{ code: "STORE_LOG_DAMAGED", with: { file, log: logOf(file) } }];
}

async function endNoted({ ended }: TakenAway, desk: FrontDesk): Promise<void> {
  for (const { token } of ended.look()) await desk.endToken(token);
}

async function openCertificate(dataFolder: string): Promise<HallCertificate> {
  const { HallCertificate } = await import("./tls/hall-certificate.ts");
  return HallCertificate.open(dataFolder, Date.now());
}

function hallAddresses(host: string): string[] {
  const isEverywhere = host === "0.0.0.0" || host === "::";
  return Object.values(networkInterfaces())
    .flatMap((all) => all ?? [])
    .filter(({ family, internal, address }) =>
      isEverywhere ? family === "IPv4" && !internal && isOfTheHall(address) : address === host,
    )
    .map(({ address }) => address);
}

/** What is said of the line over TLS: only under addresses that the certificate vouches for. */
function spoken({ name, fingerprint, notice }: HallCertificate, host: string, port: number) {
  const addresses = addressesOf(host, port, "https").filter((one) =>
    isOfTheHall(new URL(one).hostname),
  );
  return { port, addresses, name, fingerprint, notice };
}

function addressesOf(host: string, port: number, scheme: "http" | "https" = "http"): string[] {
  const isEverywhere = host === "0.0.0.0" || host === "::";
  const hosts = isEverywhere
    ? Object.values(networkInterfaces())
        .flatMap((all) => all ?? [])
        .filter(({ family, internal }) => family === "IPv4" && !internal)
        .map(({ address }) => address)
    : host === "127.0.0.1" || host === "localhost"
      ? []
      : [host];
  return [...hosts, "localhost"].map((name) => `${scheme}://${name}:${port}`);
}

/** Where tablets find this hub, and under which further names it serves its pages. */
function originsOf(
  host: string,
  names: readonly string[],
  ports: { http: number; https: number | undefined },
): [addresses: string[], names: string[]] {
  const isLocal = host === "127.0.0.1" || host === "localhost";
  const addresses: string[] = [];
  const further: string[] = [];
  for (const scheme of ["http", "https"] as const) {
    const port = ports[scheme];
    if (port === undefined) continue;
    const here = addressesOf(host, port, scheme);
    if (isLocal) here.push(`${scheme}://127.0.0.1:${port}`);
    addresses.push(...here.filter((one) => isLocal || !one.includes("//localhost:")));
    // "localhost" is every machine's own: no other hub should take a page from there for a neighbour's.
    for (const name of names.filter((one) => !/^(localhost|127\.|::1)/.test(one)))
      further.push(`${scheme}://${name.includes(":") ? `[${name}]` : name}:${port}`);
  }
  return [addresses, further.filter((origin) => !addresses.includes(origin))];
}

function version(): string {
  const file = new URL("../../package.json", import.meta.url);
  return (JSON.parse(readFileSync(file, "utf8")) as { version: string }).version;
}
