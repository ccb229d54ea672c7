import type { FastifyReply, FastifyRequest } from "fastify";
import type * as z from "zod/mini";
import { type FaultCode, FaultError } from "../../book/faults.ts";

/** What a fault is in HTTP; everything else a client did wrong is 400. */
const statusOf: Partial<Record<FaultCode, number>> = {
  TOKEN_WRONG: 401,
  KEY_WRONG: 403,
  CODE_WRONG: 403,
  LINK_WRONG: 404,
  NOT_ADMITTED: 403,
  ROLE_MISSING: 403,
  ORIGIN_WRONG: 403,
  GRADING_OTHER: 404,
  NOT_YOURS: 409,
  SHEET_NOT_RELEASED: 409,
  COPY_NOT_HERE: 409,
  COPY_SEALED: 409,
  FRAME_TOO_LARGE: 413,
  TOO_MANY_TRIES: 429,
  STORE_CLOSED: 503,
  STORE_FULL: 503,
  STORE_LOST: 503,
  STORE_BUSY: 503,
  STORE_DAMAGED: 503,
  KEY_DAMAGED: 503,
  ERASED_WAITS: 503,
  STORE_UNREACHABLE: 503,
};

/** Every error leaves as `{code, with}`; what nobody expected leaves without its secrets. */
export function sendFault(
  error: Error & { statusCode?: number },
  request: FastifyRequest,
  reply: FastifyReply,
): FastifyReply {
  if (error instanceof FaultError)
    return reply.code(statusOf[error.fault.code] ?? 400).send(error.fault);
  const status = error.statusCode ?? 500;
  if (status === 413)
    return reply
      .code(413)
      .send({ code: "FRAME_TOO_LARGE", with: { bytes: request.headers["content-length"] ?? 0 } });
  if (status < 500) return reply.code(status).send({ code: "FRAME_MALFORMED" });
  request.log.error(error);
  return reply.code(500).send({ code: "STORE_LOST" });
}

/** What came in, checked. @throws FaultError FRAME_MALFORMED with the path to what is wrong. */
export function checked<Schema extends z.ZodMiniType>(
  schema: Schema,
  json: unknown,
): z.infer<Schema> {
  const read = schema.safeParse(json ?? {});
  if (read.success) return read.data;
  const [issue] = read.error.issues;
  const path = (issue?.path ?? []).join(".");
  throw new FaultError({
    code: "FRAME_MALFORMED",
    with: { path, detail: issue?.message ?? "" },
  });
}

/** The token a request carries. @throws FaultError TOKEN_WRONG when it carries none. */
export function bearer(request: FastifyRequest): string {
  const [, token] =
    /^Bearer ([A-Za-z0-9_-]{20,200})$/.exec(request.headers.authorization ?? "") ?? [];
  if (!token) throw new FaultError({ code: "TOKEN_WRONG" });
  return token;
}
