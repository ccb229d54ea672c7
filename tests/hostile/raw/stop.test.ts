import { afterAll, beforeAll, expect, it } from "vitest";
import { ARawLine } from "./a-raw-line.ts";
import { ARealHub } from "./a-real-hub.ts";

const GRADING = "01a00000-0000-7000-8000-000000000002";
let hub: ARealHub;
beforeAll(async () => {
  hub = await ARealHub.start();
}, 60_000);
afterAll(() => hub.end());

it("[Y42] a stop is heard before it is kept, from its own writer only, and a line that cannot be kept stops nobody else", async () => {
  const chief = await hub.claim("laptop");
  const made = { grading: GRADING, device: "laptop" };
  await hub.ask("POST", "/api/gradings", { token: chief, body: made });
  const { json } = await hub.ask("GET", `/api/gradings/${GRADING}/code`, { token: chief });
  const knock = { code: json.code, device: "tablet", name: "Ada", wants: "judge" };
  const token = String((await hub.ask("POST", "/api/join", { body: knock })).json.token);
  const admitted = await hub.ask("POST", `/api/gradings/${GRADING}/devices/tablet/admit`, {
    token: chief,
    body: { roles: ["judge"] },
  });
  const leader = await ARawLine.hello(hub.line, { token: chief, ...made });
  const judge = await ARawLine.hello(hub.line, { token, grading: GRADING, device: "tablet" });
  const stop = (by: unknown, n: number) => ({
    id: `01a00000-0000-7000-8000-00000000000${n}`,
    grading: GRADING,
    by,
    device: "tablet",
    // Far from the first: nobody could keep it.
    n: 900 + n,
    lamport: n,
    at: 1,
    kind: "stopped",
    body: { wave: null },
  });
  judge.say({ frame: "floor", entry: stop("somebody-else", 1) });
  judge.say({ frame: "append", entries: [stop(admitted.json.person, 2)] });
  await leader.until(() => leader.frames("floor").length > 0, "the stop");
  expect(leader.frames("floor")).toMatchObject([
    { floor: { stopped: true, by: admitted.json.person, lamport: 2 } },
  ]);
  judge.hangUp();
  leader.hangUp();
}, 60_000);
