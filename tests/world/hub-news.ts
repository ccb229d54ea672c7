import type { News } from "../../src/line/hub-news.ts";
import type { StoreNews } from "../../src/ports/store-news.ts";
import type { Dice } from "./dice.ts";
import type { Life, Timeline } from "./timeline.ts";

/** Milliseconds that word takes from hub to hub. */
const TAKES = { least: 0, most: 20 };
/** A line for news that is dead is believed in for so long at most, and mended within so long. Milliseconds. */
export const UNNOTICED_MS = 3000;
const MENDED = { least: 300, most: 6000 };

interface Ear {
  life: Life;
  isBroken: boolean;
  isHearing: boolean;
  lastAtMs: number;
  heard: Set<(news: News) => void>;
  hearing: Set<(isHearing: boolean) => void>;
}

/** What hubs on one store tell each other: in order while the line is there, and lost while it is not. */
export class HubNews {
  readonly #time: Timeline;
  readonly #dice: Dice;
  readonly #ears = new Set<Ear>();

  constructor(time: Timeline, dice: Dice) {
    this.#time = time;
    this.#dice = dice;
  }

  open(life: Life): StoreNews {
    const ear: Ear = {
      life,
      isBroken: false,
      isHearing: true,
      lastAtMs: 0,
      heard: new Set(),
      hearing: new Set(),
    };
    this.#ears.add(ear);
    life.onEnd(() => this.#ears.delete(ear));
    return {
      tell: (news) => this.#tell(ear, news),
      onNews: (listener) => on(ear.heard, listener),
      onHearing: (listener) => on(ear.hearing, listener),
      get isHearing() {
        return ear.isHearing;
      },
      close: async () => undefined,
    };
  }

  /** One hub hears nothing any more, and does not know it yet. */
  breakOne(): void {
    const whole = [...this.#ears].filter(({ isBroken }) => !isBroken);
    if (whole.length === 0) return;
    const ear = this.#dice.pick(whole);
    ear.isBroken = true;
    ear.life.after(this.#dice.between(0, UNNOTICED_MS), () => hears(ear, false));
    ear.life.after(UNNOTICED_MS + this.#dice.between(MENDED.least, MENDED.most), () => {
      ear.isBroken = false;
      hears(ear, true);
    });
  }

  #tell(from: Ear, news: News): void {
    if (from.life.isOver) return;
    for (const ear of this.#ears) {
      if (ear === from) continue;
      const atMs = this.#time.nowMs + this.#dice.between(TAKES.least, TAKES.most);
      ear.lastAtMs = Math.max(atMs, ear.lastAtMs);
      this.#time.at(ear.lastAtMs, () => {
        if (ear.isBroken || ear.life.isOver) return;
        for (const listener of ear.heard) listener(news);
      });
    }
  }
}

function on<T>(listeners: Set<T>, listener: T): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}
function hears(ear: Ear, isHearing: boolean): void {
  ear.isHearing = isHearing;
  for (const listener of ear.hearing) listener(isHearing);
}
