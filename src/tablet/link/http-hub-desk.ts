import * as z from "zod/mini";
import { type Fault, type FaultCode, faultCodes } from "../../book/faults.ts";
import { copyDoors, type Door, doors } from "../../line/doors.ts";
import type { Answer, HubDesk } from "../../ports/hub-desk.ts";

/** What goes along: the token, what stands in the path, the body. */
interface Asking<One extends Door> {
  token?: string;
  where?: z.input<One["where"]>;
  body?: z.input<One["asks"]>;
}
const unreachable = { ok: false, fault: { code: "HUB_UNREACHABLE" } } as const;

/** The hub's HTTP doors, at the origin this app was served from. */
export function httpHubDesk(origin: string): HubDesk {
  async function at<
    Where extends z.ZodMiniType,
    Asks extends z.ZodMiniType,
    Tells extends z.ZodMiniType,
  >(
    { method, path, tells }: Door<Where, Asks, Tells>,
    { token, where, body }: Asking<Door<Where, Asks, Tells>> = {},
  ): Promise<Answer<z.infer<Tells>>> {
    const address = path.replace(/:([a-z]+)/g, (_, name: string) =>
      encodeURIComponent(String((where as Record<string, unknown>)[name])),
    );
    const content = { "content-type": "application/json" };
    return told(tells, () =>
      fetch(new URL(address, origin), {
        method,
        headers: { ...(method === "POST" && content), ...withToken(token) },
        ...(method === "POST" && { body: JSON.stringify(body ?? {}) }),
      }),
    );
  }
  return {
    health: () => at(doors.health),
    claim: (key, device) => at(doors.claim, { body: { key, device } }),
    makeGrading: (token, grading, device) =>
      at(doors.makeGrading, { token, body: { grading, device } }),
    gradings: (token) => at(doors.gradings, { token }),
    openExample: (device) => at(doors.openExample, { body: { device } }),
    join: (code, device, name, wants) => at(doors.join, { body: { code, device, name, wants } }),
    me: (token) => at(doors.me, { token }),
    code: (token, grading) => at(doors.code, { token, where: { grading } }),
    newCode: (token, grading) => at(doors.newCode, { token, where: { grading } }),
    devices: (token, grading) => at(doors.devices, { token, where: { grading } }),
    admit: (token, grading, device, as) =>
      at(doors.admit, { token, where: { grading, device }, body: as }),
    refuse: (token, grading, device) => at(doors.refuse, { token, where: { grading, device } }),
    revoke: (token, grading, device) => at(doors.revoke, { token, where: { grading, device } }),
    chiefs: (token) => at(doors.chiefs, { token }),
    endChief: (token, id) => at(doors.endChief, { token, where: { id } }),
    backups: (token, now) => at(now ? doors.backUp : doors.backups, { token }),
    bringBack: (token, copy) =>
      told(copyDoors.bringBack.tells, () =>
        fetch(new URL(copyDoors.bringBack.path, origin), {
          method: "POST",
          headers: { "content-type": "application/vnd.sqlite3", ...withToken(token) },
          body: copy,
        }),
      ),
    async newestBackup(token) {
      try {
        const where = new URL(copyDoors.newest.path, origin);
        const response = await fetch(where, { headers: { ...withToken(token) } });
        if (!response.ok) return refused(await response.json());
        return { ok: true, file: await response.blob() };
      } catch {
        return unreachable;
      }
    },
    namesKept: (token, rule) =>
      rule ? at(doors.chooseNamesKept, { token, body: rule }) : at(doors.namesKept, { token }),
    namesShown: (token, gradings) =>
      at(doors.namesShown, { token, body: { gradings: [...gradings] } }),
    eraseNames: (token, grading, isDry) =>
      at(doors.eraseNames, { token, body: { grading, isDry } }),
    trust: () => at(doors.trust),
    sheet: (token) => at(doors.sheet, { token }),
    sheetLinks: (token, grading) => at(doors.sheetLinks, { token, where: { grading } }),
    makeSheetLink: (token, grading, candidate, days) =>
      at(doors.makeSheetLink, { token, where: { grading }, body: { candidate, days } }),
    revokeSheetLink: (token, grading, link) =>
      at(doors.revokeSheetLink, { token, where: { grading, link } }),
  };
}

const withToken = (token: string | undefined) =>
  token ? { authorization: `Bearer ${token}` } : undefined;

/** What a door told, parsed; whoever tells something else is no hub of ours. */
async function told<Tells extends z.ZodMiniType>(
  tells: Tells,
  ask: () => Promise<Response>,
): Promise<Answer<z.infer<Tells>>> {
  let response: Response;
  try {
    response = await ask();
  } catch {
    return unreachable;
  }
  const body: unknown = await response.json().catch(() => undefined);
  if (!response.ok) return refused(body);
  const read = tells.safeParse(body);
  return read.success ? { ok: true, ...(read.data as z.infer<Tells> & object) } : unreachable;
}

const ARefusal = z.looseObject({ code: z.enum(faultCodes) });
function refused(body: unknown): { ok: false; fault: Fault } {
  const read = ARefusal.safeParse(body);
  return read.success
    ? { ok: false, fault: read.data as Fault & { code: FaultCode } }
    : unreachable;
}
