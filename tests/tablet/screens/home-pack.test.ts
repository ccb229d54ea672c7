import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { RULES } from "../../../src/belt-test/scorebook/rules.ts";
import { fold } from "../../../src/belt-test/scorebook/scorebook.ts";
import { testPack } from "../../../src/belt-test/scorebook/test-pack.ts";
import type { DeviceId, PersonId } from "../../../src/book/identity.ts";
import { makeSideRecord } from "../../../src/line/make-side-record.ts";
import { sealedPack } from "../../../src/line/sealed-pack.ts";
import type { Pass } from "../../../src/ports/tablet-store.ts";
import { readPack, takePack } from "../../../src/tablet/screens/home/read-pack.ts";
import { aGradingId, aPen } from "../../builders/a-pen.ts";
import { aSession } from "../../builders/a-session.tsx";
import { aTestDay } from "../../builders/a-test-day.ts";

const { plan } = aTestDay();
const child = makeSideRecord(
  {
    grading: aGradingId,
    about: "candidate-1" as PersonId,
    kind: "candidate",
    body: { given: "Ada", family: "Byron", birthYear: 2016 },
  },
  { random: (bytes) => new Uint8Array(bytes) },
).record;
const unsealed = testPack(fold(plan), [child]);
const pack = sealedPack(unsealed);
const opened = (json: object) => {
  const read = readPack(JSON.stringify(json));
  if (!read.ok) throw new Error(read.problem);
  return read.pack;
};
const aDevice = async (pass: Partial<Pass>) => {
  const { services } = await aSession("judge-1", ["judge"], []);
  await services.store.keepPass({
    grading: aGradingId,
    device: "tablet-1" as DeviceId,
    person: "judge-1" as PersonId,
    roles: ["judge"],
    name: "Ada",
    cursor: 0,
    lastContactMs: 1,
    ...pass,
  });
  return services;
};

describe("a test pack", () => {
  it("[Y40] takes nothing from the pass of a tablet that is in at a hub, whoever is chosen", async () => {
    const head = { grading: aGradingId, seq: 9, chain: "c", key: "k", signature: "s" };
    const at = { token: "t".repeat(43), feed: "f", cursor: 7, link: "l", hubs: ["http://a"] };
    const services = await aDevice({
      ...at,
      heads: [head] as unknown as NonNullable<Pass["heads"]>,
    });
    const before = await services.store.pass(aGradingId);
    for (const { seat } of opened(pack).people) await takePack(services, opened(pack), seat.person);
    expect(await services.store.pass(aGradingId)).toEqual({ ...before, title: "Summer belt test" });
    expect(await services.store.read(aGradingId, 0)).toHaveLength(plan.length);
  });

  it("[Y40] keeps what a pass without a hub holds, and the whole record of a name that is here", async () => {
    const services = await aDevice({ partedAtMs: 5 });
    await services.store.append(aGradingId, [], [child]);
    await takePack(services, opened(pack), "judge-1" as PersonId);
    const pass = await services.store.pass(aGradingId);
    expect(pass).toMatchObject({ device: "tablet-1", partedAtMs: 5 });
    expect(await services.store.sides(aGradingId)).toEqual([child]);
  });

  it("[Y41] with any one letter changed is refused, or says the same", () => {
    const text = JSON.stringify(pack);
    const anywhere = fc.integer({ min: 0, max: text.length - 1 });
    const letter = fc.constantFrom(...'abcXYZ0129 {}[],:"');
    fc.assert(
      fc.property(anywhere, letter, (at, one) => {
        const read = readPack(text.slice(0, at) + one + text.slice(at + 1));
        if (read.ok) expect(read.pack.pack).toEqual(pack);
      }),
      { numRuns: 2000 },
    );
  });

  it("[Y41] that swaps names, makes a judge chief or leaves a line out is refused by name", () => {
    const named = { ...pack, sides: [{ ...child, body: { given: "Eve" } }] };
    const crowned = {
      ...pack,
      entries: JSON.parse(JSON.stringify(pack.entries).replaceAll('["judge"]', '["chief"]')),
    };
    const cut = { ...pack, entries: pack.entries.slice(0, -1) };
    const { sum: _, ...without } = pack;
    for (const json of [named, crowned, cut, without])
      expect(readPack(JSON.stringify(json))).toEqual({ ok: false, problem: "changed" });
    // Sealed anew, but by a judge's hand: no judge seats anybody.
    const seats = aPen("judge-1").write("seated", {
      person: "judge-1" as PersonId,
      roles: ["chief"],
    });
    const forged = sealedPack({ ...unsealed, entries: [...unsealed.entries, seats] });
    expect(readPack(JSON.stringify(forged))).toEqual({ ok: false, problem: "changed" });
  });

  it("[Y234] can be opened also behind what somebody who was taken out handed in later", () => {
    const day = aTestDay();
    const { pen, person } = day.judges[0] as (typeof day.judges)[number];
    const out = day.chief.write("seated", { person, roles: [] });
    const recused = pen.write("recused", {
      ...{ candidate: day.candidates[0] as never, section: null, reason: null },
    });
    const book = fold([...day.plan, out, recused]);
    const { people } = opened(sealedPack(testPack(book, [])));
    expect(people.map((one) => one.seat.person)).not.toContain(person);
  });

  it("[Y41] that says otherwise of a line that is here is refused, also where its sum is right", async () => {
    const services = await aDevice({});
    await takePack(services, opened(pack), "judge-1" as PersonId);
    const crowned = JSON.parse(
      JSON.stringify(unsealed.entries).replaceAll('["judge"]', '["chief"]'),
    );
    const other = opened(sealedPack({ ...unsealed, entries: crowned }));
    await expect(takePack(services, other, "judge-1" as PersonId)).rejects.toThrow(/PACK_CHANGED/);
    expect((await services.store.pass(aGradingId))?.roles).toEqual(["judge"]);
  });

  it("[Y41] made by nobody who is chief in the plan that is here is refused, whatever its sum", async () => {
    const services = await aDevice({});
    await takePack(services, opened(pack), "judge-1" as PersonId);
    const pen = aPen("judge-2");
    const made = [
      pen.write("opened", { title: "Summer belt test", date: "2026-06-06", rules: RULES }),
      pen.write("seated", { person: "judge-2" as PersonId, roles: ["judge", "chief"] }),
    ];
    const theirs = opened(sealedPack({ ...unsealed, entries: made, sides: [] }));
    await expect(takePack(services, theirs, "judge-1" as PersonId)).rejects.toThrow(/PACK_CHANGED/);
    expect(await services.store.read(aGradingId, 0)).toHaveLength(plan.length);
  });

  it("[Y41] of the first form, without a sum, is opened, and makes nobody chief but who made it", () => {
    const old = { ...unsealed, version: 1 };
    expect(opened(old).spoken).toBeUndefined();
    expect(opened(old).people.map(({ seat }) => seat.person)).toContain("judge-1");
    const crowned = {
      ...old,
      entries: JSON.parse(JSON.stringify(old.entries).replaceAll('["judge"]', '["chief"]')),
    };
    expect(opened(crowned).people.map(({ seat }) => seat.person)).toEqual(["chief"]);
  });
});
