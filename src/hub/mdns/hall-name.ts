import type { From, Packet } from "multicast-dns";
import type { Clock } from "../../ports/clock.ts";
import type { HallLine } from "./hall-lines.ts";
import {
  allRecords,
  answersTo,
  givesWay,
  isRivalled,
  legacyAnswer,
  ownRecords,
  type Said,
} from "./records.ts";

/** RFC 6762 section 8.1: three questions, so far apart, after a wait of chance; section 8.2: whoever gives way waits; section 8.3: said twice. */
const PROBES = 3;
const PROBE_EVERY_MS = 250;
const YIELD_MS = 1_000;
const SAY_AGAIN_MS = 1_000;
/** Section 6: to everybody no oftener than this, so that nobody can make a hub shout. */
const SPEAK_EVERY_MS = 1_000;
/** A hall with more hubs than this has no use for numbers. */
const MOST_NAMES = 99;

interface HallNameSettings {
  lines: readonly HallLine[];
  ports: { http: number; https: number | undefined };
  clock: Clock;
  /** 0 to 1. */
  chance: () => number;
  /** Told whenever it has a name: at first, and another one after somebody else turned out to have it. */
  onName: (name: string) => void;
}

/**
 * A name in the hall of the hub's own: `evenhand.local`, or the first number that nobody answers for. Never the machine's own name, which its
 * system may answer for itself. Multicast DNS of RFC 6762, services of RFC 6763; nothing leaves the networks the machine is in.
 */
export class HallName {
  readonly #settings: HallNameSettings;
  readonly #spokeAtMs = new Map<HallLine, number>();
  #number = 1;
  #state: "probing" | "held" | "over" = "probing";
  #callOff: () => void = () => undefined;

  constructor(settings: HallNameSettings) {
    this.#settings = settings;
    for (const line of settings.lines)
      line.onPacket((packet, from) => {
        if (this.#state !== "over" && line.isNear(from.address)) this.#hear(line, packet, from);
      });
    this.#try(settings.chance() * PROBE_EVERY_MS);
  }

  /** Says that it goes, so that nobody remembers it. */
  close(): void {
    this.#callOff();
    for (const line of this.#settings.lines) {
      if (this.#state === "held") line.send({ answers: allRecords(this.#said(line), 0) });
      line.close();
    }
    this.#state = "over";
  }

  get #name(): string {
    return this.#number === 1 ? "evenhand.local" : `evenhand-${this.#number}.local`;
  }
  #said(line: HallLine): Said {
    return { name: this.#name, address: line.address, ...this.#settings.ports };
  }
  get #addresses(): string[] {
    return this.#settings.lines.map(({ address }) => address);
  }

  #try(afterMs: number): void {
    this.#callOff();
    this.#state = "probing";
    this.#callOff = this.#settings.clock.after(afterMs, () => this.#probe(PROBES));
  }
  #probe(left: number): void {
    if (left === 0) {
      this.#hold();
      return;
    }
    // First: an answer calls it off.
    this.#callOff = this.#settings.clock.after(PROBE_EVERY_MS, () => this.#probe(left - 1));
    for (const line of this.#settings.lines) {
      const said = this.#said(line);
      const own = ownRecords(said);
      const names = [...new Set(own.map(({ name }) => name))];
      line.send({
        type: "query",
        questions: names.map((name) => ({ name, type: "ANY" })),
        authorities: own,
      });
    }
  }
  #hold(): void {
    this.#state = "held";
    const say = () => {
      for (const line of this.#settings.lines) line.send({ answers: allRecords(this.#said(line)) });
    };
    say();
    this.#callOff = this.#settings.clock.after(SAY_AGAIN_MS, say);
    this.#settings.onName(this.#name);
  }

  #hear(line: HallLine, packet: Packet, from: From): void {
    const said = this.#said(line);
    if (packet.type === "response") {
      const heard = [...(packet.answers ?? []), ...(packet.additionals ?? [])];
      if (isRivalled(heard, said, this.#addresses)) this.#lose();
      return;
    }
    if (this.#state === "held") {
      this.#answer(line, packet, from);
      return;
    }
    const tried = packet.authorities ?? [];
    if (isRivalled(tried, said, this.#addresses) && givesWay(tried, said)) this.#try(YIELD_MS);
  }

  /** While it is tried, the next name; one that was held is asked for again, for the other may have gone (RFC 6762 section 9). */
  #lose(): void {
    if (this.#state === "probing") this.#number++;
    if (this.#number <= MOST_NAMES) this.#try(0);
    else this.#callOff();
  }

  #answer(line: HallLine, query: Packet, from: From): void {
    const answer = answersTo(query, this.#said(line));
    if (!answer) return;
    if (from.port !== line.port) {
      line.send(legacyAnswer(query, answer), from);
      return;
    }
    const now = this.#settings.clock.steadyMs();
    // Whoever is about to take the name is told at once.
    const isUrgent = (query.authorities ?? []).length > 0;
    if (!isUrgent && now - (this.#spokeAtMs.get(line) ?? Number.NEGATIVE_INFINITY) < SPEAK_EVERY_MS)
      return;
    this.#spokeAtMs.set(line, now);
    line.send(answer);
  }
}
