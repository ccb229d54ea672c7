import { EventEmitter } from "node:events";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { Crowd } from "../../../src/hub/door/crowd.ts";

class ASocket extends EventEmitter {
  isGone = false;
  readonly remoteAddress: string;
  readonly remotePort: number;
  readonly localPort = 8080;
  constructor(remoteAddress: string, remotePort: number) {
    super();
    this.remoteAddress = remoteAddress;
    this.remotePort = remotePort;
  }
  destroy(): this {
    this.isGone = true;
    this.emit("close");
    return this;
  }
}

describe("the crowd before the door", () => {
  it("[H58] never pushes out whoever is in, nor somebody of another address before its own", () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 1, max: 8 }), fc.boolean()), { maxLength: 900 }),
        (arrivals) => {
          const crowd = new Crowd();
          const silent: ASocket[] = [];
          const admitted: ASocket[] = [];
          for (const [nth, [host, isDevice]] of arrivals.entries()) {
            const socket = new ASocket(`10.0.0.${host}`, nth);
            crowd.enter(socket as never);
            if (isDevice) crowd.isIn(socket, `device-${nth}`, () => socket.destroy());
            (isDevice ? admitted : silent).push(socket);
            // Whoever comes now has its moment to say hello.
            expect(socket.isGone).toBe(false);
          }
          expect(admitted.some(({ isGone }) => isGone)).toBe(false);
          const here = silent.filter(({ isGone }) => !isGone);
          expect(here.length).toBeLessThanOrEqual(400);
          for (let host = 1; host <= 8; host++) {
            const its = (list: ASocket[]) =>
              list.filter(({ remoteAddress }) => remoteAddress === `10.0.0.${host}`);
            expect(its(here).length).toBeLessThanOrEqual(100);
            // The oldest went first.
            expect(its(here)).toEqual(its(silent).slice(its(silent).length - its(here).length));
          }
        },
      ),
      { numRuns: 40 },
    );
  });

  it("[H58] one device has eight lines, and the ninth takes the place of its oldest", () => {
    const crowd = new Crowd();
    const ended: number[] = [];
    const left = Array.from({ length: 10 }, (_, nth) =>
      crowd.isIn(new ASocket("10.0.0.1", nth), "tablet", () => ended.push(nth)),
    );
    expect(ended).toEqual([0, 1]);
    for (const one of left.slice(0, 5)) one();
    crowd.isIn(new ASocket("10.0.0.1", 11), "tablet", () => ended.push(11));
    expect(ended).toEqual([0, 1]);
  });
});
