import type { From, Packet } from "multicast-dns";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import type { HallLine } from "../../../src/hub/mdns/hall-lines.ts";
import { HallName } from "../../../src/hub/mdns/hall-name.ts";
import type { Clock } from "../../../src/ports/clock.ts";

const PORT = 5353;

/** Time that only the test lets pass. */
class HandClock implements Clock {
  ms = 0;
  #waiting: { atMs: number; work: () => void }[] = [];
  nowMs = () => this.ms;
  steadyMs = () => this.ms;
  after(ms: number, work: () => void): () => void {
    const one = { atMs: this.ms + ms, work };
    this.#waiting.push(one);
    return () => {
      this.#waiting = this.#waiting.filter((other) => other !== one);
    };
  }
  every(): () => void {
    throw new Error("HandClock: nothing here is done every so often");
  }
  pass(ms: number): void {
    const end = this.ms + ms;
    for (;;) {
      const [next] = this.#waiting
        .filter(({ atMs }) => atMs <= end)
        .sort((a, b) => a.atMs - b.atMs);
      if (!next) break;
      this.#waiting = this.#waiting.filter((one) => one !== next);
      this.ms = next.atMs;
      next.work();
    }
    this.ms = end;
  }
}

/** A hall's network: what one says all hear, the speaker too, as with multicast that loops back. */
class Hall {
  readonly said: { packet: Packet; by: From; to: From | undefined }[] = [];
  readonly #listeners = new Set<(packet: Packet, from: From) => void>();

  line(address: string, near = "192.168.1."): HallLine {
    const mine = new Set<(packet: Packet, from: From) => void>();
    return {
      address,
      port: PORT,
      isNear: (other) => other.startsWith(near),
      send: (packet, to) => {
        const type = packet.type ?? "response";
        this.speak({ ...packet, type }, { address, port: PORT }, to);
      },
      onPacket: (listener) => {
        mine.add(listener);
        this.#listeners.add(listener);
      },
      close: () => {
        for (const listener of mine) this.#listeners.delete(listener);
      },
    };
  }
  speak(packet: Packet, by: From = { address: "192.168.1.77", port: PORT }, to?: From): void {
    this.said.push({ packet, by, to });
    if (!to) for (const listener of [...this.#listeners]) listener(packet, by);
  }
  /** What is answered to a question, by whomever. */
  ask(questions: NonNullable<Packet["questions"]>, by?: From, answers: Packet["answers"] = []) {
    const before = this.said.length;
    this.speak({ type: "query", id: 7, questions, answers }, by);
    return this.said.slice(before + 1);
  }
}

let clock: HandClock;
let hall: Hall;
const open: HallName[] = [];
beforeEach(() => {
  clock = new HandClock();
  hall = new Hall();
});
afterEach(() => {
  for (const one of open.splice(0)) one.close();
});

/** A hub that wants a name. @returns the names it was told to have, the last one last. */
function aHub(address: string, ports = { http: 8080, https: 8443 as number | undefined }) {
  const names: string[] = [];
  const hub = new HallName({
    lines: [hall.line(address)],
    ports,
    clock,
    chance: () => 0.5,
    onName: (name) => names.push(name),
  });
  open.push(hub);
  return { names, hub };
}
const A = [{ name: "evenhand.local", type: "A" }];

describe("a hub's name in the hall", () => {
  it("[H51] is asked for three times before it is taken, said twice, and answered for from then on", () => {
    const { names } = aHub("192.168.1.20");
    clock.pass(600);
    expect(names).toEqual([]);
    expect(hall.ask(A)).toEqual([]);
    clock.pass(2_500);
    expect(names).toEqual(["evenhand.local"]);
    const kinds = hall.said.map(({ packet }) => packet.type);
    expect(kinds.filter((one) => one === "response").length).toBe(2);
    const [answer] = hall.ask(A);
    expect(answer?.packet.answers).toEqual([
      { name: "evenhand.local", type: "A", data: "192.168.1.20", ttl: 120, flush: true },
    ]);
  });

  it("[H51] leads to the hub's ports as services, plain and encrypted", () => {
    aHub("192.168.1.20");
    clock.pass(3_000);
    const [listed] = hall.ask([{ name: "_https._tcp.local", type: "PTR" }]);
    expect(listed?.packet.answers).toMatchObject([{ data: "evenhand._https._tcp.local" }]);
    clock.pass(1_000);
    const [found] = hall.ask([{ name: "Evenhand._HTTP._tcp.local", type: "SRV" }]);
    expect(found?.packet.answers).toMatchObject([
      { data: { port: 8080, target: "evenhand.local" } },
    ]);
    expect(found?.packet.additionals).toContainEqual(
      expect.objectContaining({ type: "A", data: "192.168.1.20" }),
    );
  });

  it("[H51] says that there is no address of version 6, so that nobody waits for one", () => {
    aHub("192.168.1.20");
    clock.pass(3_000);
    const [answer] = hall.ask([{ name: "evenhand.local", type: "AAAA" }]);
    expect(answer?.packet.answers).toMatchObject([{ type: "NSEC", data: { rrtypes: ["A"] } }]);
  });

  it("[H51] is the next number where somebody answers for it, and nobody is fought", () => {
    const first = aHub("192.168.1.20");
    clock.pass(3_000);
    const second = aHub("192.168.1.21");
    const third = aHub("192.168.1.22");
    clock.pass(10_000);
    expect(first.names).toEqual(["evenhand.local"]);
    expect([...second.names, ...third.names].sort()).toEqual([
      "evenhand-2.local",
      "evenhand-3.local",
    ]);
  });

  it("[H51] goes to one of two hubs that ask at the same moment, also on one machine", () => {
    const both = [aHub("192.168.1.20"), aHub("192.168.1.21")];
    clock.pass(10_000);
    expect(both.map(({ names }) => names)).toEqual([["evenhand-2.local"], ["evenhand.local"]]);
    const twins = [
      aHub("192.168.1.30", { http: 8080, https: undefined }),
      aHub("192.168.1.30", { http: 8081, https: undefined }),
    ];
    clock.pass(10_000);
    expect(twins.map(({ names }) => names)).toEqual([["evenhand-4.local"], ["evenhand-3.local"]]);
  });

  it("[H51] is given up for the next one when somebody else turns up with it", () => {
    const { names } = aHub("192.168.1.20");
    clock.pass(3_000);
    const other = { address: "192.168.1.9", port: PORT };
    const claim: Packet = {
      type: "response",
      answers: [{ name: "evenhand.local", type: "A", data: "192.168.1.9", ttl: 120, flush: true }],
    };
    hall.speak(claim, other);
    clock.pass(100);
    // It has gone again before it was asked: the name may stay.
    clock.pass(3_000);
    expect(names).toEqual(["evenhand.local", "evenhand.local"]);
    hall.speak(claim, other);
    clock.pass(100);
    hall.speak(claim, other);
    clock.pass(3_000);
    expect(names.at(-1)).toBe("evenhand-2.local");
  });

  it("[H51] is not said to somebody outside the network, nor to everybody more than once a second", () => {
    aHub("192.168.1.20");
    clock.pass(3_000);
    expect(hall.ask(A, { address: "203.0.113.5", port: PORT })).toEqual([]);
    expect(hall.ask(A).length).toBe(1);
    clock.pass(900);
    expect(hall.ask(A)).toEqual([]);
    clock.pass(200);
    expect(hall.ask(A).length).toBe(1);
  });

  it("[H51] is not repeated to whoever knows it, and told to a plain resolver alone, with its question and for seconds only", () => {
    aHub("192.168.1.20");
    clock.pass(3_000);
    const known = { name: "evenhand.local", type: "A" as const, data: "192.168.1.20", ttl: 100 };
    expect(hall.ask(A, undefined, [known])).toEqual([]);
    expect(hall.ask(A, undefined, [{ ...known, ttl: 30 }]).length).toBe(1);
    const plain = { address: "192.168.1.40", port: 40_123 };
    const [answer] = hall.ask(A, plain);
    expect(answer?.to).toEqual(plain);
    expect(answer?.packet).toMatchObject({
      id: 7,
      questions: A,
      answers: [{ data: "192.168.1.20", ttl: 10, flush: false }],
    });
  });

  it("[H51] is taken back when the hub stops, and free for the next", () => {
    const { hub } = aHub("192.168.1.20");
    clock.pass(3_000);
    hub.close();
    const last = hall.said.at(-1)?.packet.answers ?? [];
    expect(last.length).toBeGreaterThan(0);
    expect(last.every(({ ttl }) => ttl === 0)).toBe(true);
    const next = aHub("192.168.1.21");
    clock.pass(3_000);
    expect(next.names).toEqual(["evenhand.local"]);
  });
});
