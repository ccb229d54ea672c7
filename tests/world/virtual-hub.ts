import type { WebSocket } from "@fastify/websocket";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { FaultError } from "../../src/book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import { FrontDesk } from "../../src/hub/door/front-desk.ts";
import { Halls } from "../../src/hub/hall/halls.ts";
import { Talk } from "../../src/hub/routes/sync.ts";
import { type GradingRooms, gradingRooms } from "../../src/hub/test-room/grading-rooms.ts";
import { lostPlansIn } from "../../src/hub/test-room/lost-plan.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import { nobodyElse } from "../../src/ports/store-news.ts";
import { aBox } from "../builders/a-box.ts";
import type { HubDisk } from "./hub-disk.ts";
import type { HubNews } from "./hub-news.ts";
import { memoryDoor } from "./memory-door.ts";
import type { HubSocket, Network } from "./network.ts";
import { Life, type Timeline } from "./timeline.ts";

interface Running {
  life: Life;
  desk: FrontDesk;
  rooms: GradingRooms;
  halls: Halls;
}

interface Told {
  /** Every text that leaves for a device, before it leaves. */
  sends: (device: string, text: string) => void;
  /** What the hub did not expect. */
  throws: (error: unknown) => void;
}

/** The hub's real code on a machine of this world. */
export class VirtualHub {
  skewMs = 0;
  readonly address: string;
  readonly disk: HubDisk;
  readonly #time: Timeline;
  readonly #network: Network;
  readonly #news: HubNews | undefined;
  readonly #grading: GradingId;
  readonly #told: Told;
  readonly #plant: (store: ScorebookStore, life: Life) => ScorebookStore;
  #running: Running | undefined;
  #isClosing = false;
  readonly #makeId: () => string;

  constructor(
    grading: GradingId,
    parts: {
      time: Timeline;
      network: Network;
      disk: HubDisk;
      news?: HubNews | undefined;
      address: string;
      makeId: () => string;
    },
    told: Told,
    plant: (store: ScorebookStore, life: Life) => ScorebookStore = (store) => store,
  ) {
    this.#grading = grading;
    this.#time = parts.time;
    this.#network = parts.network;
    this.disk = parts.disk;
    this.#news = parts.news;
    this.address = parts.address;
    this.#makeId = parts.makeId;
    this.#told = told;
    this.#plant = plant;
    this.disk.door.gradings.set(grading, { grading, code: "AAAAAA", madeBy: "chief" as PersonId });
  }

  get isUp(): boolean {
    return this.#running !== undefined;
  }
  start(): void {
    this.#isClosing = false;
    const life = new Life(this.#time, this);
    const nowMs = () => life.nowMs();
    const store = this.#plant(this.disk.open(life), life);
    // A key pair of its own would be chance from outside.
    const news = this.#news?.open(life) ?? nobodyElse;
    const desk = new FrontDesk(memoryDoor(this.disk.door), nowMs, "a simulated hub", news);
    const { erased } = this.disk;
    const rooms = gradingRooms(store, desk.fingerprint, {
      clock: life,
      makeId: this.#makeId,
      box: aBox(),
      news,
      lostPlans: lostPlansIn(memoryDoor(this.disk.door), news !== nobodyElse),
      erasedBefore: () => [...erased],
      onErased: (_grading, about) => void erased.add(about),
    });
    const halls = new Halls(rooms, desk, life, news);
    this.#running = { life, desk, rooms, halls };
    this.#network.answers(this.address, {
      life,
      accept: (socket: HubSocket) => {
        socket.onSends = (text) => this.#told.sends(socket.device, text);
        new Talk(socket as unknown as WebSocket, desk, halls, life, this.#told.throws).begin();
      },
    });
  }
  /** Comes up again if it is down, or on its way down. */
  mend(): void {
    if (this.#isClosing) this.crash(true);
    if (!this.isUp) this.start();
  }
  /** Closed by hand: what waits is answered, everybody hangs up, then the process ends. */
  async close(): Promise<void> {
    const running = this.#running;
    if (!running) return;
    this.#isClosing = true;
    await running.rooms.flush();
    running.halls.close();
    running.life.after(50, () => {
      if (this.#running === running) this.crash(true);
    });
  }
  /** Gone in the middle of whatever it was doing: memory lost, disk as committed. */
  crash(isTold: boolean): void {
    const life = this.#running?.life;
    if (!life) return;
    life.end();
    this.#running = undefined;
    this.#network.hubWentDown(life, isTold);
  }

  /** The chief lets somebody in; undefined while the hub is down. */
  async letIn(
    device: DeviceId,
    person: PersonId,
    roles: readonly [Role, ...Role[]],
  ): Promise<string | undefined> {
    const as = { name: person, person, roles };
    return (await this.#running?.desk.letIn(this.#grading, device, as))?.token;
  }
  /** What the chief's tablet does at the door for a device that is in. */
  admit(device: DeviceId, person: PersonId, roles: readonly Role[]): void {
    this.#running?.desk.admit(this.#grading, device, { person, roles }).catch(strangerAtTheDoor);
  }
  revoke(device: DeviceId): void {
    this.#running?.desk.revoke(this.#grading, device).catch(strangerAtTheDoor);
  }
}

/** A hub put back from a backup may not know a tablet any more: nothing to do there. */
function strangerAtTheDoor(error: unknown): void {
  if (!(error instanceof FaultError)) throw error;
}
