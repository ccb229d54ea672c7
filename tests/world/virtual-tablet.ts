import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { FaultError } from "../../src/book/faults.ts";
import type { DeviceId, GradingId, PersonId } from "../../src/book/identity.ts";
import type { TabletStore } from "../../src/ports/tablet-store.ts";
import { socketHubLink } from "../../src/tablet/link/socket-hub-link.ts";
import { Notebook } from "../../src/tablet/session/notebook.ts";
import { joinHub } from "../../src/tablet/session/uplink.ts";
import type { Dice } from "./dice.ts";
import { openMemoryTabletStore, TabletDisk, type ToDisk } from "./memory-tablet-store.ts";
import type { Network, Station } from "./network.ts";
import { Life, type Timeline } from "./timeline.ts";

/** Milliseconds a tablet's disk takes. */
const READ = { least: 0, most: 6 };
const WRITE = { least: 1, most: 30 };

/** The app in one tab: the real notebook and the real line. */
export interface Tab {
  life: Life;
  notebook: Notebook;
  /** Tries the hub at once, as when somebody looks at the screen. */
  wake: () => void;
}
/** Work on its way to the disk; `commit` does it and says how the one who asked hears of it. */
interface Job {
  life: Life;
  commit: () => () => void;
}
interface Surroundings {
  time: Timeline;
  network: Network;
  dice: Dice;
  makeId: () => string;
  /** Addresses of the hubs, as the tablet was told them. */
  hubs: readonly string[];
}
type Plant = (store: TabletStore) => TabletStore;

/** A tablet: a disk, a clock, a place in the hall, and the tabs that are open on it. */
export class VirtualTablet implements Station {
  isCutOff = false;
  slowness = 1;
  skewMs = 0;
  isFull = false;
  /** Share of writes that are done although the answer says that they failed. */
  lostAnswers = 0;
  disk = new TabletDisk();
  readonly device: DeviceId;
  readonly person: PersonId;
  roles: readonly [Role, ...Role[]];
  readonly tabs = new Set<Tab>();
  readonly grading: GradingId;
  readonly #world: Surroundings;
  readonly #plant: Plant;
  #pending: Job[] = [];
  #diskFreeAtMs = 0;

  constructor(
    grading: GradingId,
    who: { device: string; person: string; roles: readonly [Role, ...Role[]] },
    world: Surroundings,
    plant: Plant = (store) => store,
  ) {
    this.grading = grading;
    this.device = who.device as DeviceId;
    this.person = who.person as PersonId;
    this.roles = who.roles;
    this.#world = world;
    this.#plant = plant;
  }

  /** Puts a token on the disk, as joining does. */
  join(token: string): void {
    const before = this.disk.passes.get(this.grading);
    this.disk.passes.set(this.grading, {
      cursor: 0,
      lastContactMs: 0,
      ...before,
      grading: this.grading,
      device: this.device,
      person: this.person,
      roles: [...this.roles],
      name: this.person,
      token,
    });
  }

  /** Opens the app; the tab is there when the disk has been read, and not at all when it could not be. */
  async openTab(): Promise<void> {
    const life = new Life(this.#world.time, this);
    await this.#open(life).catch(() => life.end());
  }
  async #open(life: Life): Promise<void> {
    const { network, dice, makeId, hubs } = this.#world;
    const store = this.#plant(openMemoryTabletStore(this.disk, this.#toDisk(life)));
    const pass = await store.pass(this.grading);
    if (!pass) return;
    const nowMs = () => life.nowMs();
    const notebook = await Notebook.open({ store, pass, makeId, nowMs, clock: life });
    const wakers = new Set<() => void>();
    const link = socketHubLink(() => hubs, {
      dial: (address) => network.dial(this, life, this.device, address),
      clock: life,
      chance: () => dice.share(),
      onWake(listener) {
        wakers.add(listener);
        return () => wakers.delete(listener);
      },
    });
    joinHub(notebook, link);
    const wake = () => {
      for (const waker of wakers) waker();
    };
    this.tabs.add({ life, notebook, wake });
  }
  crash(tab: Tab): void {
    this.tabs.delete(tab);
    tab.life.end();
    this.#settleDisk(tab.life);
  }
  crashAll(): void {
    for (const tab of this.tabs) this.crash(tab);
  }

  /** One piece of work at a time, in the order it was asked for, whichever tab asks. */
  #toDisk(life: Life): ToDisk {
    const { time, dice } = this.#world;
    return (what, work) =>
      new Promise((resolve, reject) => {
        const { least, most } = what === "read" ? READ : WRITE;
        const commit = () => {
          try {
            if (what === "write" && this.isFull)
              throw new FaultError({ code: "STORE_FULL", with: { reason: "full" } });
            const answer = work();
            if (what === "write" && dice.falls(this.lostAnswers))
              throw new FaultError({ code: "STORE_LOST", with: { reason: "lost" } });
            return () => resolve(answer);
          } catch (error) {
            return () => reject(error);
          }
        };
        // Whoever is dead asks for nothing more.
        if (life.isOver) return;
        const job = { life, commit };
        this.#pending.push(job);
        this.#diskFreeAtMs = Math.max(this.#diskFreeAtMs, time.nowMs) + dice.between(least, most);
        time.at(this.#diskFreeAtMs, () => {
          const place = this.#pending.indexOf(job);
          if (place < 0) return;
          this.#pending.splice(place, 1);
          commit()();
        });
      });
  }
  /** Of what a dead tab had asked of the disk, some was on its way and is done all the same; nobody hears of it. */
  #settleDisk(life: Life): void {
    const { dice } = this.#world;
    const its = this.#pending.filter((job) => job.life === life);
    this.#pending = this.#pending.filter((job) => job.life !== life);
    for (const { commit } of its) {
      if (dice.falls(0.5)) return;
      commit();
    }
  }
}
