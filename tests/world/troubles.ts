import { Dice } from "./dice.ts";
import type { HubBackup } from "./hub-disk.ts";
import type { VirtualTablet } from "./virtual-tablet.ts";
import type { World } from "./world.ts";

const DAY_MS = 24 * 60 * 60 * 1000;

/**
 * What goes wrong in a hall, and when. Each day draws which troubles it has and how often they come.
 * Everything is mended by `mendAll`.
 */
export class Troubles {
  /** How often each came, for the figures. */
  readonly came = new Map<string, number>();
  readonly #world: World;
  readonly #dice: Dice;
  #backup: HubBackup | undefined;
  #isOver = false;
  isRestoreDay = false;

  constructor(world: World) {
    this.#world = world;
    this.#dice = world.dice("troubles");
  }

  /** Sets the day's troubles going. */
  begin(): void {
    const dice = this.#dice;
    const { disk, network, news, hubs } = this.#world;
    this.isRestoreDay = dice.falls(0.12);
    for (const tablet of this.#world.tablets)
      if (dice.falls(0.25)) tablet.skewMs = Math.round(dice.between(-5, 5) * DAY_MS);

    this.#often("cut off", 0.7, 9000, () => this.#cutOff(this.#someTablet()));
    this.#often("connection dead", 0.5, 12_000, () => network.breakOne());
    this.#often("tab killed", 0.5, 12_000, () => {
      const tablet = this.#someTablet();
      const [tab] = tablet.tabs;
      if (tab) tablet.crash(tab);
    });
    this.#often("tablet's power gone", 0.3, 25_000, () => this.#someTablet().crashAll());
    this.#often("second tab", 0.3, 30_000, () => void this.#someTablet().openTab());
    this.#often("hub killed", 0.5, 20_000, () => this.#killHub());
    this.#often("hub closed", 0.15, 40_000, () => {
      const hub = dice.pick(hubs);
      if (!hub.isUp) return;
      void hub.close();
      this.#later(dice.between(500, 4000), () => {
        if (!hub.isUp) hub.start();
      });
    });
    this.#often("sent out", 0.15, 50_000, () => this.#world.sendOut(this.#someTablet()));
    if (hubs.length > 1)
      this.#often("hubs do not hear each other", 0.6, 15_000, () => news.breakOne());
    this.#often("slow air", 0.3, 20_000, () => {
      const tablet = this.#someTablet();
      tablet.slowness = dice.between(10, 100);
      this.#later(dice.between(1000, 15_000), () => {
        tablet.slowness = 1;
      });
    });
    this.#often("hub's disk full", 0.25, 25_000, () => {
      disk.isFull = true;
      this.#later(dice.between(300, 6000), () => {
        disk.isFull = false;
      });
    });
    this.#often("hub's answer lost", 0.2, 30_000, () => {
      disk.lostAnswers = 0.5;
      this.#later(dice.between(300, 4000), () => {
        disk.lostAnswers = 0;
      });
    });
    this.#often("tablet's disk full", 0.25, 25_000, () => {
      const tablet = this.#someTablet();
      tablet.isFull = true;
      this.#later(dice.between(300, 12_000), () => {
        tablet.isFull = false;
      });
    });
    this.#often("tablet's answer lost", 0.2, 25_000, () => {
      const tablet = this.#someTablet();
      tablet.lostAnswers = 0.5;
      this.#later(dice.between(300, 4000), () => {
        tablet.lostAnswers = 0;
      });
    });
    this.#often("clock set", 0.4, 30_000, () => {
      const machine = dice.falls(0.2) ? dice.pick(hubs) : this.#someTablet();
      machine.skewMs = Math.round(dice.between(-3, 3) * DAY_MS);
    });
    this.#often("second tablet", 0.35, 35_000, () => this.#secondTablet());
    if (!this.isRestoreDay) this.#often("tablet lost", 0.2, 70_000, () => this.#loseTablet());
    // A backup knows the roles of its day.
    if (!this.isRestoreDay) this.#often("more roles", 0.15, 60_000, () => this.#moreRoles());
    if (this.isRestoreDay) this.#restoreOnce();
  }

  /** The air is clear, the disks have room, everybody is back. */
  mendAll(): void {
    this.#isOver = true;
    const { hubs, disk, tablets, network, lost } = this.#world;
    disk.isFull = false;
    disk.lostAnswers = 0;
    for (const hub of hubs) hub.mend();
    for (const tablet of tablets) {
      if (lost.has(tablet)) continue;
      tablet.isFull = false;
      tablet.lostAnswers = 0;
      tablet.slowness = 1;
      if (tablet.isCutOff) network.heal(tablet);
    }
  }

  #someTablet(): VirtualTablet {
    const { tablets, lost } = this.#world;
    return this.#dice.pick(tablets.filter((tablet) => !lost.has(tablet)));
  }
  #later(ms: number, work: () => void): void {
    const { time } = this.#world;
    time.at(time.nowMs + ms, () => {
      if (!this.#isOver) work();
    });
  }
  #often(name: string, share: number, everyMs: number, work: () => void): void {
    if (!this.#dice.falls(share)) return;
    // One die each: how often one trouble comes changes nothing in the others.
    const dice = new Dice(this.#world.seed, name);
    const again = () => {
      this.#later(dice.between(0.1, 2) * everyMs, () => {
        this.came.set(name, (this.came.get(name) ?? 0) + 1);
        this.#world.note(name);
        work();
        again();
      });
    };
    again();
  }

  #cutOff(tablet: VirtualTablet): void {
    if (tablet.isCutOff) return;
    tablet.isCutOff = true;
    const ms = this.#dice.falls(0.7)
      ? this.#dice.between(100, 8000)
      : this.#dice.between(8000, 40_000);
    this.#later(ms, () => this.#world.network.heal(tablet));
  }
  #killHub(): void {
    const hub = this.#dice.pick(this.#world.hubs);
    if (!hub.isUp) return;
    hub.crash(this.#dice.falls(0.6));
    this.#later(this.#dice.between(200, 9000), () => {
      if (!hub.isUp) hub.start();
    });
  }
  #secondTablet(): void {
    const { people, tablets, hall } = this.#world;
    if (tablets.length > people.length + 2) return;
    // Mostly to judges, whose two tablets may come to disagree.
    const whose = this.#dice.falls(0.7)
      ? people.filter(({ name }) => hall.judges.includes(name))
      : people;
    const tablet = this.#world.giveTablet(this.#dice.pick(whose));
    void this.#world.letIn(tablet);
  }
  /** Fell, broke, and is thrown away; its holder gets another one. */
  #loseTablet(): void {
    const { lost, people } = this.#world;
    const tablet = this.#someTablet();
    const person = people.find(({ tablets }) => tablets.includes(tablet));
    if (!person || !this.#world.hub || lost.size > 1) return;
    tablet.crashAll();
    lost.add(tablet);
    person.tablets.splice(person.tablets.indexOf(tablet), 1);
    this.#world.sendOut(tablet);
    void this.#world.letIn(this.#world.giveTablet(person));
  }
  /** The caller helps at the desk from now on. */
  #moreRoles(): void {
    const { hub, tablets, lost } = this.#world;
    const tablet = tablets.find((one) => one.person === "caller" && !lost.has(one));
    if (!tablet || !hub || tablet.disk.passes.size === 0) return;
    tablet.roles = ["caller", "desk"];
    hub.admit(tablet.device, tablet.person, tablet.roles);
  }
  #restoreOnce(): void {
    const { hubs, disk, witness, tablets } = this.#world;
    const backUpMs = this.#dice.between(3000, 60_000);
    this.#later(backUpMs, () => {
      void disk.backUp().then((backup) => {
        this.#backup = backup;
      });
    });
    this.#later(backUpMs + this.#dice.between(1000, 50_000), () => {
      for (const hub of hubs) hub.crash(true);
      const backup = this.#backup;
      if (backup)
        void disk.restore(backup).then(() => {
          this.came.set("restored", 1);
          const known = tablets.flatMap(({ person, disk: { rows } }) =>
            person === "chief" ? [...rows.keys()] : [],
          );
          witness.onRestore(backup.lines, new Set(known));
        });
      this.#later(this.#dice.between(500, 5000), () => {
        for (const hub of hubs) if (!hub.isUp) hub.start();
      });
    });
  }
}
