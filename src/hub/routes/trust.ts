import { existsSync } from "node:fs";
import { join } from "node:path";
import type { FastifyInstance, FastifyReply, FastifyRequest } from "fastify";
import { doors } from "../../line/doors.ts";
import { atDoor } from "../door/at-door.ts";
import { opensTo } from "../door/doorkeeper.ts";
import { appleProfile } from "../tls/apple-profile.ts";
import type { HallCertificate } from "../tls/hall-certificate.ts";
import { isOfTheHall } from "../tls/hall-names.ts";

export interface Trust {
  certificate: HallCertificate;
  /** Where the hub listens over TLS; nothing where it does not. */
  port: () => number | undefined;
}

/**
 * The page at which a tablet learns to trust the hub, over plain HTTP, and what it installs there. All of it is public:
 * the certificate without its key, and its fingerprint, which a person compares with the one that the hub printed.
 */
export async function trustRoutes(
  hub: FastifyInstance,
  trust: Trust | undefined,
  tabletFolder: string | undefined,
  {
    hallName = () => undefined,
    formerly = () => [],
  }: { hallName?: () => string | undefined; formerly?: () => readonly string[] } = {},
): Promise<void> {
  const isBuilt = tabletFolder !== undefined && existsSync(join(tabletFolder, "trust.html"));
  /** The port at which this tablet could go on over TLS; nothing where it came that way, or under a name that no certificate of ours vouches for. */
  const next = ({ protocol, hostname }: FastifyRequest) =>
    protocol !== "https" && isOfTheHall(hostname.replace(/^\[|\]$/g, ""))
      ? trust?.port()
      : undefined;
  /** Where the hub is found by its name in the hall, whatever its address is next time. */
  const byName = () => {
    const [name, port] = [hallName(), trust?.port()];
    return name && port ? `https://${name}:${port}` : null;
  };

  hub.get("/trust", async (request, reply) => {
    reply.header("cache-control", "no-store");
    const port = next(request);
    // A browser keeps what follows the # on the way.
    if (port === undefined || !isBuilt) return reply.redirect("/join");
    letAsk(reply, `https://${request.hostname}:${port}`);
    return reply.sendFile("trust.html", { cacheControl: false });
  });
  atDoor(hub, doors.trust, opensTo("anybody"), (_, request) => ({
    trust: trust
      ? {
          name: trust.certificate.name,
          fingerprint: trust.certificate.fingerprint,
          port: next(request) ?? null,
          byName: byName(),
          formerly: formerly(),
        }
      : null,
  }));
  if (!trust) return;
  const { certificate } = trust;
  // Asked for over TLS by the page above, which comes from another port; that it arrives is all there is to know.
  hub.get("/trust/seen", async (_request, reply) =>
    reply
      .header("cross-origin-resource-policy", "cross-origin")
      .header("cache-control", "no-store")
      .code(204)
      .send(),
  );
  hub.get("/trust/evenhand-hub.crt", async (_request, reply) =>
    reply
      .type("application/x-x509-ca-cert")
      .header("content-disposition", 'attachment; filename="evenhand-hub.crt"')
      .header("cache-control", "no-store")
      .send(certificate.der),
  );
  hub.get("/trust/evenhand-hub.mobileconfig", async (_request, reply) =>
    reply
      .type("application/x-apple-aspen-config")
      .header("cache-control", "no-store")
      .send(appleProfile(certificate)),
  );
}

/** This one page may ask this one other address: the same hub over TLS. */
function letAsk(reply: FastifyReply, origin: string): void {
  const said = String(reply.raw.getHeader("content-security-policy"));
  reply.header(
    "content-security-policy",
    said.replace(/connect-src [^;]*/, `connect-src 'self' ${origin}`),
  );
}
