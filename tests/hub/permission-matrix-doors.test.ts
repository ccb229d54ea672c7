import Database from "libsql";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import { buildHub, type Hub } from "../../src/hub/build-hub.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { sqliteDoorTables } from "../../src/hub/store/sqlite-door-tables.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { aTestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";

/** Who knocks at the doors, and what the columns below are called. */
const callers = [
  "chief",
  "2nd chief",
  "judge",
  "caller",
  "desk",
  "waiting",
  "refused",
  "revoked",
  "other test",
  "stranger",
  "nobody",
] as const;
type Caller = (typeof callers)[number];

const CHIEF_OF_TEST = "200 200 403 403 403 403 403 403 401 401 401";
const CHIEF_OF_HUB = "200 401 401 401 401 401 401 401 401 401 401";
/** A key or a code that is wrong opens nothing, whoever shows it. */
const WRONG_SECRET = "403 403 403 403 403 403 403 403 403 403 403";

/**
 * Every door of the hub, and how it answers each caller; by hand. `2nd chief` is a device that the chief let in as chief of this
 * test; `other test` is admitted elsewhere on this hub. Where a door is open what is asked may still be wrong: then 404 or 409.
 */
const doors: Record<string, string> = {
  "GET /health": "200 200 200 200 200 200 200 200 200 200 200",
  "GET /api/trust": "200 200 200 200 200 200 200 200 200 200 200",
  "POST /api/claim": WRONG_SECRET,
  "POST /api/join": WRONG_SECRET,
  "GET /api/me": "200 200 200 200 200 200 200 200 200 401 401",
  "GET /api/gradings": CHIEF_OF_HUB,
  "POST /api/gradings": CHIEF_OF_HUB,
  "GET /api/backups": CHIEF_OF_HUB,
  "POST /api/backups": CHIEF_OF_HUB,
  // This hub has made no copy yet, and says so to its chief.
  "GET /api/backups/newest": "400 401 401 401 401 401 401 401 401 401 401",
  // This hub holds tests.
  "POST /api/backups/bring-back": CHIEF_OF_HUB.replaceAll("200", "409"),
  "GET /api/names-kept": CHIEF_OF_HUB,
  "POST /api/names-kept": CHIEF_OF_HUB,
  "POST /api/names-kept/shown": CHIEF_OF_HUB,
  "POST /api/names-kept/erase": CHIEF_OF_HUB,
  "GET /api/chiefs": CHIEF_OF_HUB,
  // There is no such device.
  "POST /api/chiefs/:id/end": CHIEF_OF_HUB.replaceAll("200", "403"),
  "GET /api/gradings/:grading/code": CHIEF_OF_TEST,
  "POST /api/gradings/:grading/code": CHIEF_OF_TEST,
  "GET /api/gradings/:grading/devices": CHIEF_OF_TEST,
  "POST /api/gradings/:grading/devices/:device/admit": CHIEF_OF_TEST,
  "POST /api/gradings/:grading/devices/:device/refuse": CHIEF_OF_TEST,
  "POST /api/gradings/:grading/devices/:device/revoke": CHIEF_OF_TEST,
  "GET /api/gradings/:grading/sheet-links": CHIEF_OF_TEST,
  // Nothing is released, and there is no such link.
  "POST /api/gradings/:grading/sheet-links": CHIEF_OF_TEST.replaceAll("200", "409"),
  "POST /api/gradings/:grading/sheet-links/:link/revoke": CHIEF_OF_TEST.replaceAll("200", "404"),
  // A device's token is no family's link.
  "GET /api/sheet": "404 404 404 404 404 404 404 404 404 404 401",
  // Without the handshake of a socket this is no page; the line has a matrix of its own.
  "GET /api/sync": "404 404 404 404 404 404 404 404 404 404 404",
};

const grading = "matrix" as GradingId;
const tokens: Partial<Record<Caller, string>> = { stranger: "x".repeat(43) };
let hub: Hub;
let database: Database.Database;

beforeAll(async () => {
  const store = openMemoryScorebook();
  database = new Database(":memory:");
  const desk = await FrontDesk.open(sqliteDoorTables(database, ":memory:", testBooks), Date.now);
  hub = await buildHub({ store, storeName: "memory", version: "0", desk, triesAMinute: 1000 });
  tokens.chief = (await desk.makeChief("laptop" as DeviceId)).token;
  await desk.makeGrading(tokens.chief, grading, "laptop" as DeviceId);
  await desk.makeGrading(tokens.chief, "other" as GradingId, "laptop" as DeviceId);
  await store.append(
    grading,
    aTestDay().plan.map((entry) => ({ ...entry, grading })),
  );
  const letIn = async (where: GradingId, caller: Caller, role: Role) => {
    const as = { name: caller, person: `person-${role}` as PersonId, roles: [role] as [Role] };
    tokens[caller] = (await desk.letIn(where, `device-${role}-${where}` as DeviceId, as)).token;
  };
  await letIn(grading, "2nd chief", "chief");
  for (const role of ["judge", "caller", "desk"] as const) await letIn(grading, role, role);
  await letIn("other" as GradingId, "other test", "chief");
  const code = await desk.code(grading);
  for (const caller of ["waiting", "refused", "revoked"] as const) {
    const device = `device-${caller}` as DeviceId;
    const knock = { code, device, name: caller, wants: "judge" as const, address: "10.0.0.1" };
    tokens[caller] = (await desk.join(knock)).token;
    if (caller === "refused") await desk.refuse(grading, device);
    if (caller === "revoked") {
      await desk.admit(grading, device, { roles: ["judge"] });
      await desk.revoke(grading, device);
    }
  }
  await desk.join({
    code,
    device: "pawn" as DeviceId,
    name: "Pawn",
    wants: "desk",
    address: "10.0.0.1",
  });
});
afterAll(async () => {
  await hub.app.close();
  database.close();
});

/** What a door is asked with: valid, so that only who asks decides. */
function bodyOf(door: string): object {
  if (door.endsWith("/claim")) return { key: "WRONG-KEY", device: "knocker" };
  if (door.endsWith("/join"))
    return { code: "WRONG2", device: "knocker", name: "K", wants: "judge" };
  if (door.endsWith("/gradings")) return { grading: "made-by-matrix", device: "laptop" };
  if (door.endsWith("/admit")) return { roles: ["desk"] };
  if (door.endsWith("/sheet-links")) return { candidate: "candidate-1" };
  if (door.endsWith("/names-kept")) return { months: 24, byItself: false };
  if (door.endsWith("/shown")) return { gradings: [grading] };
  if (door.endsWith("/erase")) return { grading, isDry: true };
  return {};
}

describe("the hub's doors", () => {
  it("[H30] are all in the table", () => {
    const found: string[] = [];
    const trail: string[] = [];
    for (const line of hub.app.printRoutes({ commonPrefix: false }).split("\n")) {
      const [, indent = "", path = "", methods = ""] =
        /^(.*)[├└]── (\S+) \((.+)\)$/.exec(line) ?? [];
      trail.splice(indent.length / 4, trail.length, path);
      for (const method of methods.split(", ").filter((one) => one && one !== "HEAD"))
        found.push(`${method} ${trail.join("")}`);
    }
    // Pages outside /api say nothing of anybody.
    const guarded = (list: readonly string[]) =>
      list.filter((door) => door.includes(" /api/")).sort();
    expect(guarded(found)).toEqual(guarded(Object.keys(doors)));
  });

  it.each(Object.keys(doors))("[H30] %s", async (door) => {
    const [method, path = ""] = door.split(" ") as ["GET" | "POST", string];
    const url = path
      .replace(":grading", grading)
      .replace(":device", "pawn")
      .replace(/:(link|id)/, "0".repeat(64));
    const found: string[] = [];
    for (const caller of callers) {
      const answer = await hub.app.inject({
        method,
        url,
        headers: tokens[caller] ? { authorization: `Bearer ${tokens[caller]}` } : {},
        ...(method === "POST" ? { payload: bodyOf(door) } : {}),
      });
      found.push(`${caller} ${answer.statusCode}`);
      // Whoever is turned away learns a code and nothing else.
      if (answer.statusCode >= 400 && answer.body)
        expect(Object.keys(answer.json()).filter((key) => key !== "with")).toEqual(["code"]);
    }
    const wanted = doors[door]?.split(" ") ?? [];
    expect(found).toEqual(callers.map((caller, at) => `${caller} ${wanted[at]}`));
  });

  it("[H1] shut at once behind a chief's device that is revoked, and behind a judge's", async () => {
    const device = "device-chief-matrix" as DeviceId;
    const ask = () =>
      hub.app.inject({
        method: "GET",
        url: `/api/gradings/${grading}/code`,
        headers: { authorization: `Bearer ${tokens["2nd chief"]}` },
      });
    expect((await ask()).statusCode).toBe(200);
    await hub.desk.revoke(grading, device);
    expect((await ask()).json()).toEqual({ code: "NOT_ADMITTED" });
  });
});
