import { AHub } from "../builders/a-hub.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { type Measured, median, percentile } from "./measure.ts";

const TABLETS = 20;
const PER_SECOND = 2;
const SECONDS = 10;

/** From a mark leaving its judge's tablet to its acknowledgement, and to the chief's coverage, at a hall's pace on one machine. */
export async function benchHub(): Promise<Measured[]> {
  const hub = await AHub.start();
  try {
    const { plan, judges, candidates, chief: pen } = aTestDay({ judges: TABLETS, candidates: 60 });
    const chief = await hub.tablet("chief", ["chief"]);
    for (let start = 0; start < plan.length; start += 100)
      chief.append(...plan.slice(start, start + 100));
    await chief.until(() => chief.acknowledged.length === plan.length, "the plan");
    const tablets = await Promise.all(judges.map(({ person }) => hub.tablet(person, ["judge"])));
    for (const { pen: judge } of judges) judge.hear(plan.length);

    const sentAt = new Map<string, number>();
    const seen: number[] = [];
    const acked: number[] = [];
    // What the chief is told of a closed mark is its coverage: judge, candidate, place.
    const stop = chief.onFrame((frame) => {
      if (frame.frame !== "coverage") return;
      for (const { judge, candidate } of frame.cells) {
        const at = sentAt.get(`${judge} ${candidate}`);
        if (at !== undefined) seen.push(performance.now() - at);
        sentAt.delete(`${judge} ${candidate}`);
      }
    });
    const stops = tablets.map((tablet) => {
      const pending = new Map<string, number>();
      const end = tablet.onFrame((frame) => {
        if (frame.frame !== "ack") return;
        for (const id of frame.ids) {
          const at = pending.get(id);
          if (at !== undefined) acked.push(performance.now() - at);
        }
      });
      return { pending, end };
    });
    for (let tick = 0; tick < SECONDS * PER_SECOND; tick++) {
      const begun = performance.now();
      for (const [index, tablet] of tablets.entries()) {
        const judge = judges[index];
        const candidate = candidates[tick % candidates.length];
        if (!judge || !candidate) continue;
        const mark = aMark(judge.pen, { candidate, level: 2 });
        sentAt.set(`${judge.person} ${candidate}`, performance.now());
        stops[index]?.pending.set(mark.id, performance.now());
        tablet.append(mark);
        // Twenty people do not tap in the same millisecond.
        await new Promise((done) => setTimeout(done, 1000 / PER_SECOND / TABLETS - 1));
      }
      await new Promise((done) =>
        setTimeout(done, Math.max(0, 1000 / PER_SECOND - (performance.now() - begun))),
      );
    }
    await new Promise((done) => setTimeout(done, 500));
    stop();
    for (const { end } of stops) end();
    void pen;
    const expected = TABLETS * SECONDS * PER_SECOND;
    if (seen.length !== expected)
      throw new Error(`hub bench: the chief saw ${seen.length} of ${expected} marks`);
    const how = `${TABLETS} tablets × ${PER_SECOND} a second, ${SECONDS} s, one machine`;
    return [
      {
        what: "mark → on the hub's disk, acknowledged (p95)",
        value: percentile(acked, 0.95),
        unit: "ms",
        goal: 100,
        how,
      },
      {
        what: "mark → the chief's screen is told (median)",
        value: median(seen),
        unit: "ms",
        goal: 100,
        how,
      },
      {
        what: "mark → the chief's screen is told (p95)",
        value: percentile(seen, 0.95),
        unit: "ms",
        goal: 100,
        how,
      },
    ];
  } finally {
    await hub.end();
  }
}
