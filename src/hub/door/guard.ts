import { isIP } from "node:net";
import { hostname } from "node:os";
import type { FastifyReply, FastifyRequest } from "fastify";
import { FaultError } from "../../book/faults.ts";

const LINE = "/api/sync";

/**
 * Refuses what another web page, or a name somebody pointed at this machine, sends to the hub.
 * An address in figures cannot be pointed elsewhere, so every one is allowed; of names only this machine's own.
 * @returns a hook that throws ORIGIN_WRONG.
 */
export function guard(
  names: () => readonly string[],
  isNeighbour: (origin: string) => boolean = () => false,
): (request: FastifyRequest) => Promise<void> {
  const machine = hostname().toLowerCase();
  const own = ["localhost", machine, `${machine}.local`];
  const isOurs = (name: string) =>
    own.includes(name) || names().some((one) => one.toLowerCase() === name);
  return async ({ headers, url }) => {
    const host = hostOf(`http://${headers.host ?? ""}`);
    if (!host || !(isOurs(host.hostname) || isIP(bare(host.hostname)) !== 0))
      throw new FaultError({ code: "ORIGIN_WRONG", with: { host: headers.host ?? "" } });
    if (headers.origin === undefined || hostOf(headers.origin)?.host === host.host) return;
    // A page that another hub on the same store served goes on here when that one is away: the line to the hub, and nothing else.
    if (!(url === LINE && isNeighbour(headers.origin)))
      throw new FaultError({ code: "ORIGIN_WRONG", with: { host: headers.origin } });
  };
}

/** Nothing a hub answers is for a search engine, and what its doors answer is for whoever asked, now. */
export async function keepToYourself(request: FastifyRequest, reply: FastifyReply): Promise<void> {
  reply.header("x-robots-tag", "noindex, nofollow");
  reply.header(
    "permissions-policy",
    "camera=(), geolocation=(), microphone=(), payment=(), usb=()",
  );
  if (request.url.startsWith("/api/")) reply.header("cache-control", "no-store");
}

const bare = (name: string): string => name.replace(/^\[|\]$/g, "");
function hostOf(address: string): URL | undefined {
  try {
    return new URL(address);
  } catch {
    return undefined;
  }
}
