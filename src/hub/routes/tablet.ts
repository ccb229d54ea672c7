import { existsSync } from "node:fs";
import { join } from "node:path";
import fastifyStatic from "@fastify/static";
import type { FastifyInstance } from "fastify";

/** The tablet app's files. Every page that is not a file is the app, which finds its own way. */
export async function serveTablet(hub: FastifyInstance, folder: string | undefined): Promise<void> {
  const isBuilt = folder !== undefined && existsSync(join(folder, "index.html"));
  if (isBuilt)
    await hub.register(fastifyStatic, {
      root: folder,
      cacheControl: false,
      dotfiles: "ignore",
      setHeaders(response, path) {
        // Built names carry a digest of their content; everything else may change with the next version.
        const isForEver = /[\\/]assets[\\/]/.test(path);
        response.setHeader(
          "cache-control",
          isForEver ? "public, max-age=31536000, immutable" : "no-cache",
        );
      },
    });
  // A page of its own, so that a guardian's phone need not load the app.
  if (isBuilt)
    hub.get("/sheet", (_request, reply) =>
      reply.header("cache-control", "no-store").sendFile("family.html", { cacheControl: false }),
    );
  // Where what a tablet keeps of the app is broken, this page fetches all of it anew.
  if (isBuilt)
    hub.get("/fresh", (_request, reply) =>
      reply.header("cache-control", "no-store").sendFile("fresh.html", { cacheControl: false }),
    );
  hub.setNotFoundHandler((request, reply) => {
    const isPage =
      request.method === "GET" &&
      !request.url.startsWith("/api/") &&
      (request.headers.accept ?? "").includes("text/html");
    if (isPage && isBuilt) return reply.sendFile("index.html");
    return reply.code(404).send({ code: "FRAME_MALFORMED", with: { path: request.url } });
  });
}
