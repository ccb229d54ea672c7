import type { FastifyReply, FastifyRequest } from "fastify";
import { FaultError } from "../../book/faults.ts";

/**
 * For every answer. Whoever asked for a line and gets an answer instead is hung up on: after an upgrade nobody reads that socket any more,
 * so it would stay open for ever, and the hub could not close.
 */
export function hangUpOnRefused(request: FastifyRequest, reply: FastifyReply): void {
  if (request.headers.upgrade === undefined) return;
  reply.header("connection", "close");
  reply.raw.once("finish", () => request.raw.socket.destroySoon());
}

/** A line is opened at its own address alone: elsewhere it would be one that nobody reads, for as long as whoever asked for it likes. */
export async function refuseElsewhere({ ws, url, routeOptions }: FastifyRequest): Promise<void> {
  if (ws && routeOptions.url !== LINE_PATH)
    throw new FaultError({ code: "FRAME_MALFORMED", with: { path: url } });
}
export const LINE_PATH = "/api/sync";
