import { randomUUID } from "node:crypto";
import type { DeviceId, GradingId } from "../../book/identity.ts";
import type { Clock } from "../../ports/clock.ts";
import type { DoorTables } from "../../ports/door-tables.ts";
import type { StoreNews } from "../../ports/store-news.ts";
import type { EndedToken } from "../store/ended-log.ts";
import type { Erased, ForgottenDevice } from "../store/erased-log.ts";
import type { RevokedLink } from "../store/revoked-log.ts";
import { settingOf } from "../store/setting-of.ts";
import { Stands } from "../store/stands-log.ts";
import type { TakenAway } from "./forget-again.ts";

/** Each note is one setting; one more changes with every new note, so that nobody reads all of them to find nothing new. */
const NAME = "taken-away/";
const CHANGED = "taken-away-changed";
const LOOK_EVERY_MS = 60_000;

/**
 * What was erased and taken back at one of several hubs, noted beside every one of them: each may be the one whose copy is put back, and each
 * has copies from before.
 */
export class SharedNotes {
  readonly #door: DoorTables;
  readonly #notes: TakenAway;
  readonly #news: StoreNews;
  readonly #clock: Clock;
  #seen: string | undefined;
  #shared = new Set<string>();
  #running: Promise<boolean> | undefined;
  /** Not begun yet. */
  #next: Promise<boolean> | undefined;

  constructor(door: DoorTables, notes: TakenAway, news: StoreNews, clock: Clock) {
    this.#door = door;
    this.#notes = notes;
    this.#news = news;
    this.#clock = clock;
  }

  /** Hears of others' notes from now on. @param onErased  told when somebody was erased elsewhere. @returns what ends it. */
  follow(onErased: () => void): () => void {
    const look = () => void this.level().then((isNews) => isNews && onErased());
    const stops = [
      this.#news.onNews((one) => one.of === "taken-away" && look()),
      this.#clock.every(LOOK_EVERY_MS, look),
    ];
    return () => {
      for (const stop of stops) stop();
    };
  }

  /** Writes down here what others noted, and there what is noted here. A store that is away is asked the next time. @returns whether somebody was erased elsewhere. */
  level(): Promise<boolean> {
    this.#next ??= (this.#running ?? Promise.resolve())
      .then(async () => {
        this.#running = this.#next;
        this.#next = undefined;
        const isNews = await this.#takeUp();
        await this.#share();
        return isNews;
      })
      .catch(() => {
        this.#seen = undefined;
        return false;
      });
    return this.#next;
  }

  async #takeUp(): Promise<boolean> {
    const changed = await this.#door.setting(CHANGED);
    if (changed === undefined || changed === this.#seen) return false;
    const at = new Date(this.#clock.nowMs()).toISOString();
    const erased: Erased[] = [];
    const devices: ForgottenDevice[] = [];
    const revoked: RevokedLink[] = [];
    const ended: EndedToken[] = [];
    const stands: Stands[] = [];
    for (const { name, value } of await this.#door.settings(NAME)) {
      this.#shared.add(name);
      const [kind, first = "", about] = name.slice(NAME.length).split("/");
      if (kind === "device" && about !== undefined)
        devices.push({ grading: first as GradingId, device: about as DeviceId, at });
      else if (kind === "stands") {
        // One that cannot be read costs no other its word.
        const note = settingOf(Stands, value);
        if (note) stands.push(note);
      } else if (kind === "ended") ended.push({ token: first, at });
      else if (kind === "link") revoked.push({ link: first, at });
      else if (kind === "erased" && about !== undefined)
        erased.push({ grading: first as GradingId, about, at });
    }
    this.#notes.revoked.note(revoked);
    this.#notes.ended.note(ended);
    this.#notes.stands.note(stands);
    const isNews = this.#notes.erased.noteAll([...erased, ...devices]);
    this.#seen = changed;
    return isNews;
  }

  async #share(): Promise<void> {
    const { erased, revoked, ended, stands } = this.#notes;
    const mine = [
      ...erased
        .all()
        .map(({ grading, about, at }) => ({ name: `erased/${grading}/${about}`, value: at })),
      ...erased
        .devices()
        .map(({ grading, device, at }) => ({ name: `device/${grading}/${device}`, value: at })),
      ...revoked.all().map(({ link, at }) => ({ name: `link/${link}`, value: at })),
      ...ended.all().map(({ token, at }) => ({ name: `ended/${token}`, value: at })),
      ...stands.all().map((one) => ({
        name: `stands/${one.token}/${one.grading}/${one.at}`,
        value: JSON.stringify(one),
      })),
    ].filter(({ name }) => !this.#shared.has(NAME + name));
    if (mine.length === 0) return;
    for (const { name, value } of mine) {
      await this.#door.settleSetting(NAME + name, value);
      this.#shared.add(NAME + name);
    }
    await this.#door.keepSetting(CHANGED, randomUUID());
    this.#news.tell({ of: "taken-away" });
  }
}
