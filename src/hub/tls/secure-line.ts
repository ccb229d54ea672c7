import { createServer } from "node:https";
import type { AddressInfo } from "node:net";
import type { FastifyInstance } from "fastify";
import type { Clock } from "../../ports/clock.ts";
import type { Crowd } from "../door/crowd.ts";
import { InTurn } from "../door/in-turn.ts";
import { OpenSockets } from "../door/open-sockets.ts";
import type { HallCertificate } from "./hall-certificate.ts";

/** How often the machine's addresses and the certificate's end are looked at. */
const LOOK_EVERY_MS = 60_000;
const CHECK_SLOW_EVERY_MS = 2_000;

interface SecureSettings {
  port: number;
  host: string;
  certificate: HallCertificate;
  /** Addresses and names to vouch for, now. */
  names: () => readonly string[];
  clock: Clock;
  /** Whoever is not in counts at both ports together. */
  crowd?: Crowd;
  inTurn?: InTurn;
  everyMs?: number;
}
export interface SecureLine {
  port: number;
  /** Looks at once whether the certificate is good for every name there is now. */
  look(): void;
  close(): Promise<void>;
}

/**
 * The same hub, over TLS, at a port of its own: requests and lines go to the one that listens already.
 * Its certificate follows the machine's addresses while it runs. @throws what `listen` throws.
 */
export async function listenSecurely(
  app: FastifyInstance,
  {
    port,
    host,
    certificate,
    names,
    clock,
    crowd,
    inTurn = new InTurn(),
    everyMs = LOOK_EVERY_MS,
  }: SecureSettings,
): Promise<SecureLine> {
  let pair = await certificate.serverFor(names(), clock.nowMs());
  const { requestTimeout, headersTimeout, keepAliveTimeout, maxConnections } = app.server;
  const server = createServer({
    key: pair.key,
    cert: pair.certificate,
    minVersion: "TLSv1.2",
    handshakeTimeout: headersTimeout,
    requestTimeout,
    headersTimeout,
    keepAliveTimeout,
    connectionsCheckingInterval: Math.min(headersTimeout, CHECK_SLOW_EVERY_MS),
  });
  server.maxConnections = maxConnections;
  crowd?.watch(server);
  server.on(
    "request",
    inTurn.taking((request, response) => app.routing(request, response)),
  );
  server.on("upgrade", (request, socket, head) =>
    app.server.emit("upgrade", request, socket, head),
  );
  const open = new OpenSockets(server);
  await new Promise<void>((resolve, reject) => {
    server.once("error", reject);
    server.listen({ port, host }, () => {
      server.off("error", reject);
      resolve();
    });
  });

  const look = () => {
    void certificate.serverFor(names(), clock.nowMs()).then(
      (next) => {
        if (next === pair) return;
        pair = next;
        server.setSecureContext({
          key: pair.key,
          cert: pair.certificate,
          minVersion: "TLSv1.2",
        });
      },
      (error: unknown) => app.log.error(error),
    );
  };
  const stop = clock.every(everyMs, look);
  return {
    port: (server.address() as AddressInfo).port,
    look,
    async close() {
      stop();
      const closed = new Promise<void>((resolve) => server.close(() => resolve()));
      open.end();
      await closed;
    },
  };
}
