import { createServer } from "node:http";
import helmet from "@fastify/helmet";
import rateLimit from "@fastify/rate-limit";
import websocket from "@fastify/websocket";
import { type FastifyInstance, type FastifyPluginAsync, fastify } from "fastify";
import type { Fault } from "../book/faults.ts";
import { MAX_FRAME_BYTES } from "../line/protocol.ts";
import { type Clock, platformClock } from "../ports/clock.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { nobodyElse, type StoreNews } from "../ports/store-news.ts";
import type { Backups } from "./copies/backups.ts";
import type { BringBack } from "./copies/brought-back.ts";
import { sendFault } from "./door/answers.ts";
import { Crowd } from "./door/crowd.ts";
import { keepDoors } from "./door/doorkeeper.ts";
import type { FrontDesk } from "./door/front-desk.ts";
import { guard, keepToYourself } from "./door/guard.ts";
import { InTurn } from "./door/in-turn.ts";
import { OpenSockets } from "./door/open-sockets.ts";
import { hangUpOnRefused, refuseElsewhere } from "./door/refused-upgrade.ts";
import { SheetLinks } from "./door/sheet-links.ts";
import { steadyTries } from "./door/steady-tries.ts";
import { tryLimit, WrongTries } from "./door/try-limit.ts";
import { forgetAtDoor } from "./forgetting/forget-at-door.ts";
import { GoneSoFar } from "./forgetting/gone-so-far.ts";
import { RetentionClock } from "./forgetting/retention-clock.ts";
import { Admissions } from "./hall/admissions.ts";
import { Halls } from "./hall/halls.ts";
import type { Neighbours } from "./hall/neighbours.ts";
import { backupsRoutes } from "./routes/backups.ts";
import { chiefsRoutes } from "./routes/chiefs.ts";
import { doorRoutes } from "./routes/door.ts";
import { gradingsRoutes } from "./routes/gradings.ts";
import { healthRoute } from "./routes/health.ts";
import { retentionRoutes } from "./routes/retention.ts";
import { sheetsRoutes } from "./routes/sheets.ts";
import { syncRoute } from "./routes/sync.ts";
import { serveTablet } from "./routes/tablet.ts";
import { type Trust, trustRoutes } from "./routes/trust.ts";
import type { ErasedLog } from "./store/erased-log.ts";
import type { NoteLog } from "./store/note-log.ts";
import type { RevokedLink } from "./store/revoked-log.ts";
import { type GradingRooms, gradingRooms } from "./test-room/grading-rooms.ts";
import { lostPlansIn } from "./test-room/lost-plan.ts";

/** Whoever has not said a whole request by then is cut off. */
const SLOW_AFTER_MS = 15_000;
const CHECK_SLOW_EVERY_MS = 2_000;
/** So long a connection is kept for the next request. */
const IDLE_AFTER_MS = 72_000;
/** The last bound, far above any hall: whoever is not in has far less room, see crowd.ts. */
const MOST_CONNECTIONS = 4_000;
/** How often one address may open a family's sheet. */
const SHEETS_A_MINUTE = 60;

export interface HubSettings {
  store: ScorebookStore;
  /** For people, who see it in `/health`. */
  storeName: string;
  desk: FrontDesk;
  version: string;
  /** Where the built tablet app lies; without it the hub serves no pages. */
  tabletFolder?: string | undefined;
  /** Where people in the hall reach this hub, for the QR code. */
  addresses?: () => string[];
  /** Names, besides the machine's own, under which the hub may be asked. */
  names?: readonly string[] | undefined;
  /** The hub's own name in the hall, once it has one. */
  hallName?: () => string | undefined;
  /** Under which addresses it was reached before. */
  formerly?: () => readonly string[];
  /** Tries of a key or a code, a minute and address. */
  triesAMinute?: number;
  /** How long a request may take to be said, in milliseconds. */
  slowAfterMs?: number;
  clock?: Clock;
  /** Word from other hubs on the same store. */
  news?: StoreNews;
  /** Where those are. */
  neighbours?: Neighbours | undefined;
  /** Copies made while the hub is at work. */
  backups?: Backups;
  /** A hub that holds nothing yet may begin from a copy of another. */
  bringBack?: BringBack | undefined;
  /** Who was erased, kept outside the store and its backups. */
  erasedLog?: ErasedLog;
  /** Who of them is out of the store too. */
  gone?: GoneSoFar;
  /** Which links were taken back, kept likewise. */
  revoked?: NoteLog<RevokedLink>;
  /** Told of a test that is damaged on the disk, and of an erasing that has to wait for it. */
  onTrouble?: ((fault: Fault) => void) | undefined;
  /** What tablets trust this hub by, where it listens over TLS too. */
  trust?: Trust | undefined;
  /** Further routes, such as the example test's. */
  more?: (parts: {
    desk: FrontDesk;
    rooms: GradingRooms;
    store: ScorebookStore;
  }) => FastifyPluginAsync;
}
export interface Hub {
  app: FastifyInstance;
  desk: FrontDesk;
  rooms: GradingRooms;
  retention: RetentionClock;
  crowd: Crowd;
  inTurn: InTurn;
}

/**
 * Where a page may open a line. Its own hub only, said in full for browsers to which 'self' is no WebSocket;
 * where other hubs share the store, anywhere: a page that was kept on a tablet goes on at a hub that was not there when it was sent.
 */
function linesFrom(host: string | undefined, hasNeighbours: boolean): string {
  if (hasNeighbours) return "ws: wss:";
  return host && /^[a-z0-9.:[\]-]+$/i.test(host) ? `ws://${host} wss://${host}` : "";
}

/** A hub that does not listen yet. Closing it answers what waits; the store stays its opener's to close. */
export async function buildHub(settings: HubSettings): Promise<Hub> {
  const { store, desk, clock = platformClock, news = nobodyElse, addresses = () => [] } = settings;
  const names = () => [...(settings.names ?? []), ...[settings.hallName?.() ?? []].flat()];
  const { slowAfterMs = SLOW_AFTER_MS, neighbours } = settings;
  const inTurn = new InTurn();
  const app = fastify({
    // Chromium holds idle lines open for minutes; without this a close waits for them.
    forceCloseConnections: true,
    bodyLimit: 64 * 1024,
    serverFactory: (answer) =>
      createServer(
        {
          requestTimeout: slowAfterMs,
          headersTimeout: slowAfterMs,
          keepAliveTimeout: IDLE_AFTER_MS,
          connectionsCheckingInterval: Math.min(slowAfterMs, CHECK_SLOW_EVERY_MS),
        },
        inTurn.taking(answer),
      ),
    // An address that cannot be decoded, or is too long, reaches no hook, no route and no error handler.
    frameworkErrors(error, request, reply) {
      hangUpOnRefused(request, reply);
      sendFault(error, request, reply);
    },
  });
  app.server.maxConnections = MOST_CONNECTIONS;
  const sockets = new OpenSockets(app.server);
  const crowd = new Crowd();
  crowd.watch(app.server);
  const links = new SheetLinks(desk.tables, clock.nowMs, (link) =>
    settings.revoked?.note([{ link, at: new Date(clock.nowMs()).toISOString() }]),
  );
  const { erasedLog, backups, gone = erasedLog && new GoneSoFar(erasedLog) } = settings;
  /** Now that they are out of the store, the copies from before go. */
  const areGone = () => gone && backups?.erased(gone.word);
  const rooms = gradingRooms(store, desk.fingerprint, {
    clock,
    news,
    box: await desk.heldBox(),
    lostPlans: lostPlansIn(desk.tables, news !== nobodyElse),
    ...(settings.onTrouble && { onTrouble: settings.onTrouble }),
    ...(erasedLog && { erasedBefore: erasedLog.of }),
    async onErasing(grading, about, called) {
      const nowMs = clock.nowMs();
      if (erasedLog?.note(grading, about, nowMs)) gone?.waits({ grading, about });
      const note = erasedLog?.noteDevices(grading, nowMs);
      await forgetAtDoor(desk.tables, grading, about, called, note);
    },
    onErased(grading, about) {
      if (gone?.went({ grading, about })) areGone();
      // Another room that opens the test takes up what could not be done now.
      links.forget(grading, about).catch((error: unknown) => app.log.error(error));
    },
    onStored: (lines) => backups?.stored(lines.some(({ entry }) => entry.kind === "closed")),
  });
  const retention = new RetentionClock(
    { store, desk, rooms, log: erasedLog, onForgotten: areGone },
    clock,
  );
  const halls = new Halls(rooms, desk, clock, news, neighbours);
  const admissions = new Admissions(desk, halls, clock);

  app.setErrorHandler(sendFault);
  app.addHook(
    "onRequest",
    guard(names, (origin) => neighbours?.has(origin) ?? false),
  );
  app.addHook("onRequest", keepToYourself);
  app.addHook("onSend", async (request, reply) => hangUpOnRefused(request, reply));
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        // Said although the default says it too: a default that is widened one day must not widen these.
        scriptSrc: ["'self'"],
        scriptSrcAttr: ["'none'"],
        connectSrc: ["'self'", ({ headers }) => linesFrom(headers.host, neighbours !== undefined)],
        imgSrc: ["'self'", "data:", "blob:"],
        workerSrc: ["'self'"],
        objectSrc: ["'none'"],
        baseUri: ["'none'"],
        formAction: ["'self'"],
        frameAncestors: ["'none'"],
      },
    },
    // Browsers heed these on secure origins only, and complain in a hall without TLS.
    crossOriginOpenerPolicy: false,
    originAgentCluster: false,
    strictTransportSecurity: false,
    referrerPolicy: { policy: "no-referrer" },
  });
  await app.register(rateLimit, { global: false, store: steadyTries(clock) });
  await app.register(websocket, {
    // Uncompressed: a small frame that unfolds into a large one cannot be sent.
    options: { maxPayload: MAX_FRAME_BYTES, perMessageDeflate: false },
  });
  app.addHook("onRequest", refuseElsewhere);
  // After what every answer bears, before every route.
  keepDoors(app, desk, links);

  const tries = tryLimit(settings.triesAMinute ?? 30);
  const wrong = new WrongTries(clock);
  await app.register(healthRoute(store, desk, settings));
  await app.register(gradingsRoutes(desk, store, { addresses, tries, wrong }));
  await app.register(chiefsRoutes(desk));
  await app.register(doorRoutes(desk, { tries, wrong, admissions, halls, clock }));
  await app.register(sheetsRoutes(rooms, links, { addresses, reads: tryLimit(SHEETS_A_MINUTE) }));
  await app.register(backupsRoutes(backups, { store, rooms, bringBack: settings.bringBack }));
  await app.register(retentionRoutes(retention));
  await app.register(syncRoute({ desk, halls, clock, crowd }));
  if (settings.more) await app.register(settings.more({ desk, rooms, store }));
  await serveTablet(app, settings.tabletFolder);
  await trustRoutes(app, settings.trust, settings.tabletFolder, settings);

  app.addHook("preClose", async () => {
    await rooms.flush();
    rooms.close();
    halls.close();
    sockets.endSoon();
  });
  return { app, desk, rooms, retention, crowd, inTurn };
}
