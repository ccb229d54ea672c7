import helmet from "@fastify/helmet";
import rateLimit from "@fastify/rate-limit";
import websocket from "@fastify/websocket";
import { type FastifyInstance, type FastifyPluginAsync, fastify } from "fastify";
import { type Clock, platformClock } from "../ports/clock.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { nobodyElse, type StoreNews } from "../ports/store-news.ts";
import { MAX_FRAME_BYTES } from "../sync/protocol.ts";
import { sendFault } from "./answers.ts";
import type { Backups } from "./backups.ts";
import type { FrontDesk } from "./front-desk.ts";
import { guard } from "./guard.ts";
import { Halls } from "./halls.ts";
import { Rooms } from "./rooms.ts";
import { backupsRoutes } from "./routes/backups.ts";
import { doorRoutes } from "./routes/door.ts";
import { gradingsRoutes } from "./routes/gradings.ts";
import { healthRoute } from "./routes/health.ts";
import { syncRoute } from "./routes/sync.ts";
import { serveTablet } from "./routes/tablet.ts";
import type { ErasedLog } from "./storage/erased-log.ts";
import { tryLimit } from "./try-limit.ts";

export interface HubSettings {
  store: ScorebookStore;
  storeName: "sqlite" | "postgres" | "memory";
  desk: FrontDesk;
  version: string;
  /** Where the built tablet app lies; without it the hub serves no pages. */
  tabletFolder?: string | undefined;
  /** Where people in the hall reach this hub, for the QR code. */
  addresses?: () => string[];
  /** Names, besides the machine's own, under which the hub may be asked. */
  names?: readonly string[];
  /** Tries of a key or a code, a minute and address. */
  triesAMinute?: number;
  clock?: Clock;
  /** Word from other hubs on the same store. */
  news?: StoreNews;
  /** Copies made while the hub is at work. */
  backups?: Backups;
  /** Who was erased, kept outside the store and its backups. */
  erasedLog?: ErasedLog;
  /** Further routes, such as the example test's. */
  more?: (parts: { desk: FrontDesk; rooms: Rooms; store: ScorebookStore }) => FastifyPluginAsync;
}
export interface Hub {
  app: FastifyInstance;
  desk: FrontDesk;
  rooms: Rooms;
}

/** A hub that does not listen yet. Closing it answers what waits; the store stays its opener's to close. */
export async function buildHub(settings: HubSettings): Promise<Hub> {
  const { store, desk, clock = platformClock, news = nobodyElse, addresses = () => [] } = settings;
  // Chromium holds idle lines open for minutes; without this a close waits for them.
  const app = fastify({ forceCloseConnections: true, bodyLimit: 64 * 1024 });
  const rooms = new Rooms(store, desk.fingerprint, {
    clock,
    news,
    ...(settings.erasedLog && { erasedBefore: settings.erasedLog.of }),
    onErased(grading, about) {
      // A name that could not be forgotten now is when the test is next opened.
      desk.forget(grading, about).catch((error: unknown) => app.log.error(error));
      if (settings.erasedLog?.note(grading, about, clock.nowMs())) settings.backups?.erased();
    },
    onStored: (lines) =>
      settings.backups?.stored(lines.some(({ entry }) => entry.kind === "closed")),
  });
  const halls = new Halls(rooms, desk, clock, news);

  app.setErrorHandler(sendFault);
  app.addHook("onRequest", guard(settings.names ?? []));
  await app.register(helmet, {
    contentSecurityPolicy: {
      useDefaults: false,
      directives: {
        defaultSrc: ["'self'"],
        connectSrc: ["'self'", "ws:", "wss:"],
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
  await app.register(rateLimit, { global: false });
  await app.register(websocket, { options: { maxPayload: MAX_FRAME_BYTES } });

  const tries = tryLimit(settings.triesAMinute ?? 30);
  await app.register(healthRoute(store, desk, settings));
  await app.register(gradingsRoutes(desk, store, { addresses, tries }));
  await app.register(doorRoutes(desk, { tries }));
  await app.register(backupsRoutes(desk, settings.backups));
  await app.register(syncRoute({ desk, halls, clock }));
  if (settings.more) await app.register(settings.more({ desk, rooms, store }));
  await serveTablet(app, settings.tabletFolder);

  app.addHook("preClose", async () => {
    await rooms.flush();
    rooms.close();
    halls.close();
  });
  return { app, desk, rooms };
}
