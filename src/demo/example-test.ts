import type { FastifyPluginAsync, FastifyRequest } from "fastify";
import { v7 as uuidv7 } from "uuid";
import type { Role } from "../belt-test/kinds/body-parts.ts";
import { waveScript } from "../belt-test/planning/wave-script.ts";
import { Pen } from "../belt-test/scorebook/pen.ts";
import { fold } from "../belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../book/entry.ts";
import { FaultError } from "../book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../book/identity.ts";
import { lastOf } from "../book/last-of.ts";
import type { SideRecord } from "../book/side-record.ts";
import { bearer } from "../hub/door/answers.ts";
import { atDoor } from "../hub/door/at-door.ts";
import { opensTo } from "../hub/door/doorkeeper.ts";
import type { FrontDesk } from "../hub/door/front-desk.ts";
import { heldGradings } from "../hub/door/held-gradings.ts";
import type { GradingRooms } from "../hub/test-room/grading-rooms.ts";
import { doors } from "../line/doors.ts";
import type { ScorebookStore } from "../ports/scorebook-store.ts";
import { demoFiles } from "./demo-files.ts";
import { liveFloor } from "./live-floor.ts";
import { planned } from "./planned.ts";
import { halfWay, play } from "./played.ts";
import { SimulatedTablet } from "./simulated-tablet.ts";

/** The example opens in the third wave, half way through its script. */
const OPENS_AT = { wave: 3, share: 0.5 };

interface ExampleSettings {
  /** The hub's own sync address, once it listens. */
  syncUrl: () => string;
  /** 1 is the pace of a hall. */
  speed: number;
}
interface Running {
  grading: GradingId;
  title: string;
  person: PersonId;
}

/**
 * POST /api/example: opens the invented belt test half way through, with invented people marking on, and makes the asking device its chief.
 * Without a token only the machine the hub runs on may ask; a second device joins the example that is running.
 */
export function exampleTest(
  settings: ExampleSettings,
): (parts: { desk: FrontDesk; rooms: GradingRooms; store: ScorebookStore }) => FastifyPluginAsync {
  const homeward: (() => void)[] = [];
  let running: Promise<Running> | undefined;
  return ({ desk, rooms, store }) =>
    async (hub) => {
      atDoor(hub, doors.openExample, opensTo("this machine"), async ({ device }, request) => {
        const others = (await heldGradings(desk, store)) - (running === undefined ? 0 : 1);
        const token = await tokenFor(desk, request, device, others);
        running ??= open(desk, rooms).catch((error: unknown) => {
          running = undefined;
          throw error;
        });
        const { grading, title, person } = await running;
        await desk.makeGrading(token, grading, device);
        await desk.admit(grading, device, { person, roles: ["chief", "judge"] });
        return { token, grading, title, person };
      });
      hub.addHook("onClose", async () => {
        for (const goHome of homeward) goHome();
      });
    };

  async function open(desk: FrontDesk, rooms: GradingRooms): Promise<Running> {
    const { scenario: written, rubrics, library } = demoFiles();
    const plan = "example-plan" as DeviceId;
    const chief = await desk.makeChief(plan);
    // The visitor sits in the invented chief's place.
    const scenario = { ...written, chief: { ...written.chief, id: chief.person as string } };
    const grading = `example-${uuidv7()}` as GradingId;
    await desk.makeGrading(chief.token, grading, plan);

    const pens = new Map<string, Pen>();
    const penOf = (person: string): Pen => {
      let pen = pens.get(person);
      if (!pen) {
        pen = new Pen({
          grading,
          person: person as PersonId,
          device: deviceOf(person),
          makeId: uuidv7,
          nowMs: Date.now,
        });
        pens.set(person, pen);
      }
      return pen;
    };
    const deviceOf = (person: string) =>
      person === chief.person ? plan : (`${person}-tablet` as DeviceId);

    const rehearsal = planned(scenario, rubrics, grading, penOf(`${chief.person}-rehearsal`));
    const steps = waveScript(fold(rehearsal.entries), OPENS_AT.wave);
    const section = steps[halfWay(steps, OPENS_AT.share)]?.section;
    const guest = { from: { wave: OPENS_AT.wave, section } };
    const { entries, sides } = planned(
      scenario,
      rubrics,
      grading,
      penOf(chief.person),
      guest,
      library,
    );
    const book = fold(entries);
    const played = play(
      { scenario, library, book },
      { caller: penOf(scenario.caller.id), judgeOf: penOf },
      OPENS_AT,
    );

    const room = await rooms.room(grading);
    const handIn = async (
      person: string,
      roles: Role[],
      lines: AnyEntry[],
      records: SideRecord[] = [],
    ) => {
      const { refused } = await room.handIn(
        { person: person as PersonId, roles, device: deviceOf(person) },
        lines,
        records,
      );
      if (refused[0]) throw new FaultError(refused[0].fault);
    };
    await handIn(chief.person, ["chief"], entries, sides);
    // In the order they were written (a lock means nothing before its marks), but without waiting for each other's commit.
    const handedIn: Promise<void>[] = [];
    for (let start = 0; start < played.length; ) {
      const by = played[start]?.by as string;
      let end = start;
      while (played[end]?.by === by) end++;
      const role: Role = by === scenario.caller.id ? "caller" : "judge";
      handedIn.push(handIn(by, [role], played.slice(start, end)));
      start = end;
    }
    await Promise.all(handedIn);

    // The pen that wrote the plan is no tablet of anybody's.
    await desk.revoke(grading, plan);

    const tablet = async (person: string, name: string, role: Role) => {
      const { token } = await desk.letIn(grading, deviceOf(person), {
        name,
        person: person as PersonId,
        roles: [role],
      });
      const last = lastOf(played, deviceOf(person));
      return new SimulatedTablet({
        url: settings.syncUrl(),
        token,
        grading,
        person: person as PersonId,
        device: deviceOf(person),
        last,
      });
    };
    const judges = new Map<string, SimulatedTablet>();
    for (const { id, name } of scenario.judges) judges.set(id, await tablet(id, name, "judge"));
    const caller = await tablet(scenario.caller.id, scenario.caller.name, "caller");
    homeward.push(
      liveFloor({ scenario, library, caller, judges, since: book.lamport, speed: settings.speed }),
    );
    return { grading, title: scenario.title, person: chief.person };
  }
}

/**
 * The hub's chief on this device. Without a token this machine may ask only while the hub holds nothing but the example:
 * afterwards whoever sits at the keyboard is not thereby the chief of somebody's belt test.
 */
async function tokenFor(
  desk: FrontDesk,
  request: FastifyRequest,
  device: DeviceId,
  others: number,
): Promise<string> {
  if (request.headers.authorization) return bearer(request);
  if (others > 0) throw new FaultError({ code: "TOKEN_WRONG" });
  return (await desk.makeChief(device)).token;
}
