import { type Fault, type FaultCode, faultCodes } from "../../book/faults.ts";
import type { Answer, HubDesk } from "../session/hub-desk.ts";

/** The hub's HTTP doors, at the origin this app was served from. */
export function httpHubDesk(origin: string): HubDesk {
  async function ask<T>(
    method: "GET" | "POST",
    path: string,
    more: { body?: object; copy?: Blob; token?: string } = {},
  ): Promise<Answer<T>> {
    let response: Response;
    try {
      response = await fetch(new URL(path, origin), {
        method,
        headers: {
          ...(method === "POST"
            ? { "content-type": more.copy ? "application/vnd.sqlite3" : "application/json" }
            : {}),
          ...(more.token ? { authorization: `Bearer ${more.token}` } : {}),
        },
        ...(method === "POST" ? { body: more.copy ?? JSON.stringify(more.body ?? {}) } : {}),
      });
    } catch {
      return { ok: false, fault: { code: "HUB_UNREACHABLE" } };
    }
    const body: unknown = await response.json().catch(() => undefined);
    if (response.ok && body !== undefined) return { ok: true, ...(body as T) };
    return refused(body);
  }
  function refused(body: unknown): { ok: false; fault: Fault } {
    const code = (body as { code?: string } | undefined)?.code;
    const isCoded = (faultCodes as readonly string[]).includes(code ?? "");
    return {
      ok: false,
      fault: isCoded
        ? { ...(body as object), code: code as FaultCode }
        : { code: "HUB_UNREACHABLE" },
    };
  }
  return {
    health: () => ask("GET", "/health"),
    claim: (key, device) => ask("POST", "/api/claim", { body: { key, device } }),
    makeGrading: (token, grading, device) =>
      ask("POST", "/api/gradings", { token, body: { grading, device } }),
    gradings: (token) => ask("GET", "/api/gradings", { token }),
    openExample: (device) => ask("POST", "/api/example", { body: { device } }),
    join: (code, device, name, wants) =>
      ask("POST", "/api/join", { body: { code, device, name, wants } }),
    me: (token) => ask("GET", "/api/me", { token }),
    code: (token, grading) => ask("GET", `/api/gradings/${grading}/code`, { token }),
    newCode: (token, grading) => ask("POST", `/api/gradings/${grading}/code`, { token }),
    devices: (token, grading) => ask("GET", `/api/gradings/${grading}/devices`, { token }),
    admit: (token, grading, device, as) =>
      ask("POST", `/api/gradings/${grading}/devices/${device}/admit`, { token, body: as }),
    chiefs: (token) => ask("GET", "/api/chiefs", { token }),
    endChief: (token, id) => ask("POST", `/api/chiefs/${id}/end`, { token }),
    backups: (token, now) => ask(now ? "POST" : "GET", "/api/backups", { token }),
    bringBack: (token, copy) => ask("POST", "/api/backups/bring-back", { token, copy }),
    async newestBackup(token) {
      try {
        const response = await fetch(new URL("/api/backups/newest", origin), {
          headers: { authorization: `Bearer ${token}` },
        });
        if (!response.ok) return refused(await response.json());
        return { ok: true, file: await response.blob() };
      } catch {
        return { ok: false, fault: { code: "HUB_UNREACHABLE" } };
      }
    },
    namesKept: (token, rule) =>
      ask(rule ? "POST" : "GET", "/api/names-kept", { token, ...(rule && { body: rule }) }),
    namesShown: (token, gradings) =>
      ask("POST", "/api/names-kept/shown", { token, body: { gradings } }),
    eraseNames: (token, grading, isDry) =>
      ask("POST", "/api/names-kept/erase", { token, body: { grading, isDry } }),
    trust: () => ask("GET", "/api/trust"),
    sheet: (token) => ask("GET", "/api/sheet", { token }),
    sheetLinks: (token, grading) => ask("GET", `/api/gradings/${grading}/sheet-links`, { token }),
    makeSheetLink: (token, grading, candidate, days) =>
      ask("POST", `/api/gradings/${grading}/sheet-links`, { token, body: { candidate, days } }),
    revokeSheetLink: (token, grading, id) =>
      ask("POST", `/api/gradings/${grading}/sheet-links/${id}/revoke`, { token }),
    refuse: (token, grading, device) =>
      ask("POST", `/api/gradings/${grading}/devices/${device}/refuse`, { token }),
    revoke: (token, grading, device) =>
      ask("POST", `/api/gradings/${grading}/devices/${device}/revoke`, { token }),
  };
}
