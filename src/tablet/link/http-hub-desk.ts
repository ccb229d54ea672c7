import * as z from "zod/mini";
import { type Fault, type FaultCode, faultCodes } from "../../book/faults.ts";
import type { Door } from "../../line/doors.ts";
import type { Answer, HubDesk } from "../../ports/hub-desk.ts";

type Doors = typeof import("../../line/doors.ts")["doors"];
/** What goes along: the token, what stands in the path, the body. */
interface Asking<One extends Door> {
  token?: string;
  where?: z.input<One["where"]>;
  body?: z.input<One["asks"]>;
}
const unreachable = { ok: false, fault: { code: "HUB_UNREACHABLE" } } as const;

/** The hub's HTTP doors, at the origin this app was served from. What they say is fetched with the first question: a board is shown without it. */
export function httpHubDesk(origin: string): HubDesk {
  async function at<Which extends keyof Doors>(
    which: Which,
    { token, where, body }: Asking<Doors[Which]> = {},
  ): Promise<Answer<z.infer<Doors[Which]["tells"]>>> {
    return told(async ({ doors }) => {
      const { method, path, tells } = doors[which];
      const address = path.replace(/:([a-z]+)/g, (_, name: string) =>
        encodeURIComponent(String((where as Record<string, unknown>)[name])),
      );
      const content = { "content-type": "application/json" };
      const response = await fetch(new URL(address, origin), {
        method,
        headers: { ...(method === "POST" && content), ...withToken(token) },
        ...(method === "POST" && { body: JSON.stringify(body ?? {}) }),
      });
      return { response, tells: tells as Doors[Which]["tells"] };
    });
  }
  return {
    health: () => at("health"),
    claim: (key, device) => at("claim", { body: { key, device } }),
    makeGrading: (token, grading, device) =>
      at("makeGrading", { token, body: { grading, device } }),
    gradings: (token) => at("gradings", { token }),
    openExample: (device) => at("openExample", { body: { device } }),
    join: (code, device, name, wants) => at("join", { body: { code, device, name, wants } }),
    me: (token) => at("me", { token }),
    code: (token, grading) => at("code", { token, where: { grading } }),
    newCode: (token, grading) => at("newCode", { token, where: { grading } }),
    devices: (token, grading) => at("devices", { token, where: { grading } }),
    admit: (token, grading, device, as) =>
      at("admit", { token, where: { grading, device }, body: as }),
    refuse: (token, grading, device) => at("refuse", { token, where: { grading, device } }),
    revoke: (token, grading, device) => at("revoke", { token, where: { grading, device } }),
    chiefs: (token) => at("chiefs", { token }),
    endChief: (token, id) => at("endChief", { token, where: { id } }),
    backups: (token, now) => at(now ? "backUp" : "backups", { token }),
    bringBack: (token, copy) =>
      told(async ({ copyDoors: { bringBack } }) => {
        const response = await fetch(new URL(bringBack.path, origin), {
          method: "POST",
          headers: { "content-type": "application/vnd.sqlite3", ...withToken(token) },
          body: copy,
        });
        return { response, tells: bringBack.tells };
      }),
    async newestBackup(token) {
      try {
        const { copyDoors } = await theDoors();
        const where = new URL(copyDoors.newest.path, origin);
        const response = await fetch(where, { headers: { ...withToken(token) } });
        if (!response.ok) return refused(await response.json());
        return { ok: true, file: await response.blob() };
      } catch {
        return unreachable;
      }
    },
    namesKept: (token, rule) =>
      rule ? at("chooseNamesKept", { token, body: rule }) : at("namesKept", { token }),
    namesShown: (token, gradings) => at("namesShown", { token, body: { gradings: [...gradings] } }),
    eraseNames: (token, grading, isDry) => at("eraseNames", { token, body: { grading, isDry } }),
    trust: () => at("trust"),
    sheet: (token) => at("sheet", { token }),
    sheetLinks: (token, grading) => at("sheetLinks", { token, where: { grading } }),
    makeSheetLink: (token, grading, candidate, days) =>
      at("makeSheetLink", { token, where: { grading }, body: { candidate, days } }),
    revokeSheetLink: (token, grading, link) =>
      at("revokeSheetLink", { token, where: { grading, link } }),
  };
}

const withToken = (token: string | undefined) =>
  token ? { authorization: `Bearer ${token}` } : undefined;

const theDoors = () => import("../../line/doors.ts");

/** What a door told, parsed; whoever tells something else is no hub of ours. */
async function told<Tells extends z.ZodMiniType>(
  ask: (
    doors: Awaited<ReturnType<typeof theDoors>>,
  ) => Promise<{ response: Response; tells: Tells }>,
): Promise<Answer<z.infer<Tells>>> {
  let asked: { response: Response; tells: Tells };
  try {
    asked = await ask(await theDoors());
  } catch {
    return unreachable;
  }
  const { response, tells } = asked;
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
