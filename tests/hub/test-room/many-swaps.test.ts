import { expect, it } from "vitest";
import type { CandidateId } from "../../../src/belt-test/identity.ts";
import { callBody } from "../../../src/belt-test/planning/call-body.ts";
import { waveScript } from "../../../src/belt-test/planning/wave-script.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../../src/book/entry.ts";
import type { Author } from "../../../src/hub/test-room/author.ts";
import { GradingRoom } from "../../../src/hub/test-room/grading-room.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aMark, aTestDay, type TestDay } from "../../builders/a-test-day.ts";
import { anId } from "../../builders/an-id.ts";
import { openMemoryScorebook } from "../../builders/memory-scorebook.ts";

/** Milliseconds that a hub takes for so many swaps by one judge, another's mark behind every fifty; and for opening the test again. */
async function tookMs(swaps: number): Promise<number> {
  const { chief, judges, candidates, plan } = aTestDay({ judges: 2, candidates: 20 });
  const [anna, ben] = judges as [TestDay["judges"][number], TestDay["judges"][number]];
  const store = openMemoryScorebook();
  const room = await GradingRoom.open(aGradingId, store, "hub");
  const says = async (who: Author, lines: AnyEntry[]) => {
    const { refused } = await room.handIn(who, lines);
    expect(refused).toEqual([]);
  };
  const asChief: Author = { person: anId("chief"), roles: ["chief"], device: chief.device };
  const [asAnna, asBen] = [anna, ben].map(
    ({ person, pen }): Author => ({ person, roles: ["judge"], device: pen.device }),
  ) as [Author, Author];
  const calls = waveScript(fold(plan), 1)
    .slice(0, 3)
    .map((step) => chief.write("called", callBody(1, step)));
  await says(asChief, [...plan, ...calls]);
  const pair = (at: number) =>
    candidates.slice(at % 19, (at % 19) + 2) as [CandidateId, CandidateId];
  const from = performance.now();
  for (let at = 0; at < swaps; at += 50) {
    const many = Array.from({ length: 50 }, (_, more) =>
      anna.pen.write("lanes-swapped", {
        wave: 1,
        candidates: pair(at + more),
        // Every other one is about the first call.
        ...(more % 2 && { call: calls[0]?.body }),
      }),
    );
    await says(asAnna, many);
    ben.pen.hear(room.book.lamport);
    const mark = aMark(ben.pen, { candidate: candidates[at % 20], level: 1 + (at % 4) });
    await says(asBen, [mark]);
  }
  await GradingRoom.open(aGradingId, store, "hub");
  return performance.now() - from;
}

// A stranger's judge said it a thousand times: everybody's marks waited for seconds, and so did whoever came after a restart.
it("[H194] a swap of lanes costs the hub the same however many were said, and so does opening the test again", async () => {
  const atOnce = { many: Number.POSITIVE_INFINITY, few: Number.POSITIVE_INFINITY };
  // The same number of swaps each time, so that a busy machine is as hard on both; the best of three.
  for (let run = 0; run < 3; run++) {
    atOnce.many = Math.min(atOnce.many, await tookMs(3200));
    let few = 0;
    for (let room = 0; room < 16; room++) few += await tookMs(200);
    atOnce.few = Math.min(atOnce.few, few);
  }
  // Where each costs what all before it did, sixteen times as many in one test cost some nine times as much.
  expect(atOnce.many / atOnce.few).toBeLessThan(3);
}, 120_000);
