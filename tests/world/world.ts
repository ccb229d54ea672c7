import { createHash } from "node:crypto";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import type { GradingId, PersonId } from "../../src/book/identity.ts";
import type { ScorebookStore } from "../../src/ports/scorebook-store.ts";
import type { TabletStore } from "../../src/ports/tablet-store.ts";
import { anIdOf } from "../builders/a-pen.ts";
import { anId } from "../builders/an-id.ts";
import { Chief, SPARE } from "./chief.ts";
import { Dice } from "./dice.ts";
import { Caller, Desk } from "./floor.ts";
import { HubDisk } from "./hub-disk.ts";
import { HubNews, UNNOTICED_MS } from "./hub-news.ts";
import { Judge } from "./judge.ts";
import { Network } from "./network.ts";
import type { HallPlan, Page, Person } from "./person.ts";
import { type Life, Timeline } from "./timeline.ts";
import { VirtualHub } from "./virtual-hub.ts";
import { VirtualTablet } from "./virtual-tablet.ts";
import { Witness } from "./witness.ts";

/** A fault put into an adapter, to see whether the world finds it. */
export interface Plant {
  hubStore?: (store: ScorebookStore, life: Life) => ScorebookStore;
  tabletStore?: (store: TabletStore) => TabletStore;
}

const GRADING = "simulated-test" as GradingId;

/** A hall: the hub, everybody in it, and what becomes of them, all out of one seed. */
export class World {
  readonly seed: number;
  readonly time = new Timeline();
  readonly witness = new Witness();
  readonly network: Network;
  /** One, or two processes on one store. */
  readonly hubs: VirtualHub[];
  readonly disk: HubDisk;
  readonly news: HubNews;
  readonly chief: Chief;
  readonly people: Person[] = [];
  readonly tablets: VirtualTablet[] = [];
  /** Tablets that are gone for good, with what was on them. */
  readonly lost = new Set<VirtualTablet>();
  readonly hall: HallPlan;
  readonly #trace = createHash("sha256");
  readonly #plant: Plant;
  readonly #sentOutAtMs = new Map<string, number>();
  #ids = 0;
  #tabletsMade = 0;

  constructor(seed: number, plant: Plant = {}) {
    this.seed = seed;
    this.#plant = plant;
    const note = (what: string) => this.note(what);
    this.network = new Network(this.time, this.dice("network"), note);
    this.disk = new HubDisk(GRADING, this.dice("hub's disk"), (added) => {
      this.witness.onCommit(added);
      for (const { entry, chain } of added) {
        this.note(`${entry.id}${chain}`);
        if (this.#isLongOut(entry.device))
          this.witness.breaks(`taken from ${entry.device} after it was sent out: ${entry.id}`);
      }
    });
    this.news = new HubNews(this.time, this.dice("news"));
    const size = this.dice("size");
    const hubs = size.falls(0.3) ? 2 : 1;
    const { time, network, disk, news } = this;
    const parts = { time, network, disk, news: hubs > 1 ? news : undefined, makeId: this.makeId };
    const told = {
      sends: (device: string, text: string) => {
        const row = disk.door.devices.get(`${GRADING}/${device}`);
        const isAdmitted = row?.state === "admitted" || this.#isNotHeardOf(device);
        const { person, roles = [] } = row ?? {};
        this.witness.onSends({ person: person ?? device, roles, isAdmitted }, text);
      },
      throws: (error: unknown) => this.witness.breaks(`the hub threw ${error}`),
    };
    this.hubs = Array.from(
      { length: hubs },
      (_, index) =>
        new VirtualHub(GRADING, { ...parts, address: `hub-${index + 1}` }, told, plant.hubStore),
    );
    this.hall = {
      judges: names("judge", size.whole(2, 3)) as PersonId[],
      candidates: names("candidate", size.whole(2, 3)) as CandidateId[],
    };
    this.chief = this.#join(Chief, "chief", ["chief"]);
    this.#join(Caller, "caller", ["caller"]);
    this.#join(Desk, "desk", ["desk"]);
    // Somebody who judges and calls sees the less of both.
    for (const judge of this.hall.judges)
      this.#join(Judge, judge, size.falls(0.1) ? ["judge", "caller"] : ["judge"]);
    // Sits by, until somebody's place is given away.
    this.#join(Judge, SPARE, ["judge"]);
  }

  /** Chance for one thing alone, so that more of it elsewhere changes nothing here. */
  dice(what: string): Dice {
    return new Dice(this.seed, what);
  }
  note(what: string): void {
    this.#trace.update(`${Math.floor(this.time.nowMs)}${what}\n`);
  }
  /** One figure for everything that happened. The world is over when it is asked for. */
  traceHash(): string {
    return this.#trace.digest("hex");
  }
  makeId = (): string => {
    this.#ids++;
    return anIdOf(this.#ids);
  };

  #join<Kind extends Person>(
    Kind: new (...made: ConstructorParameters<typeof Person>) => Kind,
    name: string,
    roles: readonly [Role, ...Role[]],
  ): Kind {
    const { hall, makeId } = this;
    const onWrote = (notebook: Page, id: string, device: string, seen: readonly string[]) => {
      if (seen.length > 0) this.witness.seenAtLock.set(id, seen);
      if (notebook.isKept(anId(id))) this.#shownAsKept(device, id);
    };
    const person = new Kind(name, roles, {
      grading: GRADING,
      dice: this.dice(name),
      hall,
      makeId,
      onWrote,
    });
    this.people.push(person);
    this.giveTablet(person);
    return person;
  }
  /** A hub that is up. */
  get hub(): VirtualHub | undefined {
    return this.hubs.find(({ isUp }) => isUp);
  }
  /** At once out, as far as the hub knows that does it; the other hears of it. */
  sendOut(tablet: VirtualTablet): void {
    if (!this.hub) return;
    this.#sentOutAtMs.set(tablet.device, this.time.nowMs);
    this.hub.revoke(tablet.device);
  }
  #outForMs(device: string): number {
    return this.time.nowMs - (this.#sentOutAtMs.get(device) ?? Number.NEGATIVE_INFINITY);
  }
  /** The other hub may not have heard yet whom this one has sent out. */
  #isNotHeardOf(device: string): boolean {
    return this.hubs.length > 1 && this.#outForMs(device) < UNNOTICED_MS + 100;
  }
  /** Sent out so long ago that not even a commit that was under way can be its own. */
  #isLongOut(device: string): boolean {
    const isOut = this.disk.door.devices.get(`${GRADING}/${device}`)?.state === "revoked";
    return isOut && !this.#isNotHeardOf(device) && this.#outForMs(device) > 500;
  }

  /** One more tablet for somebody; it is let in when the hub is up. */
  giveTablet(person: Person): VirtualTablet {
    // Never a name again: a tablet that is gone took its count along.
    const device = `${person.name}-tablet-${++this.#tabletsMade}`;
    const { time, network, makeId } = this;
    const hubs = this.hubs.map(({ address }) => address);
    const parts = { time, network, dice: this.dice(device), makeId, hubs };
    const who = { device, person: person.name, roles: person.roles };
    const tablet = new VirtualTablet(GRADING, who, parts, this.#plant.tabletStore);
    person.tablets.push(tablet);
    this.tablets.push(tablet);
    return tablet;
  }
  /** The chief lets a tablet in, if hub and tablet can speak. */
  async letIn(tablet: VirtualTablet): Promise<boolean> {
    const token = await this.hub?.letIn(tablet.device, tablet.person, tablet.roles);
    if (token) tablet.join(token);
    return token !== undefined;
  }

  #shownAsKept(device: string, id: string): void {
    const tablet = this.tablets.find((one) => one.device === device);
    this.witness.onKept(device, id, tablet?.disk.rows.has(anId(id)) === true);
  }
}

const names = (what: string, count: number): string[] =>
  Array.from({ length: count }, (_, index) => `${what}-${index + 1}`);
