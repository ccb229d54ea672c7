import type { FastifyReply, FastifyRequest } from "fastify";

/**
 * For every answer. Whoever asked for a line and gets an answer instead is hung up on: after an upgrade nobody reads that socket any more,
 * so it would stay open for ever, and the hub could not close.
 */
export function hangUpOnRefused(request: FastifyRequest, reply: FastifyReply): void {
  if (request.headers.upgrade === undefined) return;
  reply.header("connection", "close");
  reply.raw.once("finish", () => request.raw.socket.destroySoon());
}
