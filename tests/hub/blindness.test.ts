import { afterEach, describe, expect, it } from "vitest";
import type { CandidateId, ItemId, SectionId } from "../../src/belt-test/identity.ts";
import type { Role } from "../../src/belt-test/kinds/body-parts.ts";
import { assignedPlaces } from "../../src/belt-test/scorebook/assigned-places.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { PersonId } from "../../src/book/identity.ts";
import type { SideRecord } from "../../src/book/side-record.ts";
import { chance } from "../../src/demo/chance.ts";
import { makeSideRecord } from "../../src/line/make-side-record.ts";
import { AHub } from "../builders/a-hub.ts";
import { aLock } from "../builders/a-lock.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import type { ATablet } from "../builders/a-tablet.ts";
import { aTestDay } from "../builders/a-test-day.ts";

/** Something a judge wrote, and where: nobody else may be sent a byte of it before that place is open. */
interface Secret {
  entry: AnyEntry;
  by: PersonId;
  place: string;
  /** The words of a note, which are the chief's alone even then. */
  words?: string;
}

let hub: AHub | undefined;
afterEach(() => hub?.end());

/** Marks, notes and locks as a seed has it, over the real line, and every byte that everybody heard. */
async function aSeededDay(seed: number) {
  const { share, pick } = chance(seed);
  const whole = (least: number, most: number) => least + Math.floor(share() * (most - least + 1));
  const day = aTestDay({ judges: whole(2, 4), candidates: whole(2, 4) });
  hub = await AHub.start();
  const chief = await hub.tablet("chief", ["chief"]);
  chief.append(...day.plan);
  await chief.until(() => chief.acknowledged.length === day.plan.length, "the plan");
  const heard: { person: string; roles: readonly Role[]; tablet: ATablet }[] = [
    { person: "chief", roles: ["chief"], tablet: chief },
  ];
  const extra: [string, readonly [Role, ...Role[]]][] = [
    ["caller", ["caller"]],
    ["desk", ["desk"]],
    ["second", ["chief", "caller", "desk"]],
  ];
  for (const [person, roles] of extra)
    heard.push({ person, roles, tablet: await hub.tablet(person, roles) });
  for (const { person } of day.judges)
    heard.push({ person, roles: ["judge"], tablet: await hub.tablet(person, ["judge"]) });

  const plan = fold(day.plan);
  const secrets: Secret[] = [];
  const said = (person: PersonId) =>
    secrets.flatMap(({ entry, by }) => (by === person ? entry : []));
  const locked = new Map<string, Set<string>>();
  const sections = day.rubric.sections.map(({ id }) => id);
  for (let step = 0; step < 60; step++) {
    const judge = pick(day.judges);
    const tablet = heard.find(({ person }) => person === judge?.person)?.tablet;
    const candidate = pick(day.candidates) as CandidateId;
    const section = pick(sections) as SectionId;
    if (!judge || !tablet) throw new Error("nobody");
    const place = `${candidate}/${section}`;
    const locks = locked.get(place) ?? new Set<string>();
    locked.set(place, locks);
    if (locks.has(judge.person)) continue;
    if (share() < 0.3) {
      const entries = aLock(judge, section, [candidate], [...day.plan, ...said(judge.person)]);
      tablet.append(...entries);
      for (const entry of entries)
        if (entry.kind === "mark") secrets.push({ entry, by: judge.person, place });
      locks.add(judge.person);
      continue;
    }
    const cell = pick(assignedPlaces(plan, judge.person, candidate, section));
    if (!cell) throw new Error("no cell");
    const { item, side, criterion } = cell;
    if (share() < 0.25) {
      const words = `canary ${seed} ${step}`;
      const { ref, record } = makeSideRecord(
        { grading: aGradingId, about: candidate, kind: "text", body: { text: words } },
        { random: (bytes) => new Uint8Array(bytes).fill(step) },
      );
      const entry = judge.pen.write("note", { candidate, section, item, side, text: ref });
      tablet.say({ frame: "append", entries: [entry], sides: [record as SideRecord] });
      secrets.push({ entry, by: judge.person, place, words });
    } else {
      const levels = section === "etiquette" ? [1, 2] : [1, 2, 3, 4];
      const level = pick(levels) ?? 1;
      const cells = [{ candidate, criterion, level, how: "tapped" as const }];
      const entry = judge.pen.write("mark", { section, item, side, cells });
      tablet.append(entry);
      secrets.push({ entry, by: judge.person, place });
    }
  }
  for (const { tablet } of heard) await tablet.settled();
  // What was opened by the last commit is on its way to the others.
  for (const { tablet } of heard) await tablet.settled();
  const isOpen = (place: string) => locked.get(place)?.size === day.judges.length;
  return { heard, secrets, isOpen };
}

describe("why a child is excused", () => {
  it("[S152] goes to the chief and to whoever wrote it; everybody else is told that it is so", async () => {
    const day = aTestDay();
    hub = await AHub.start();
    const chief = await hub.tablet("chief", ["chief"]);
    chief.append(...day.plan);
    await chief.until(() => chief.acknowledged.length === day.plan.length, "the plan");
    const desk = await hub.tablet("desk", ["desk"]);
    const others = [
      await hub.tablet("judge-1", ["judge"]),
      await hub.tablet("caller", ["caller"]),
      await hub.tablet("second-desk", ["desk"]),
    ];
    const [candidate] = day.candidates;
    if (!candidate) throw new Error("nobody");
    const words = "a canary with one wing";
    const { ref, record } = makeSideRecord(
      { grading: aGradingId, about: candidate, kind: "text", body: { text: words } },
      { random: (bytes) => new Uint8Array(bytes).fill(7) },
    );
    const pen = aPen("desk", "desk-tablet");
    pen.hear(day.plan.length);
    const section = "blocks" as SectionId;
    const body = { candidate, section, item: "low-block" as ItemId, reason: ref };
    const entry = pen.write("excused", body);
    desk.say({ frame: "append", entries: [entry], sides: [record as SideRecord] });
    await desk.until(() => desk.acknowledged.includes(entry.id), "the excuse");
    for (const tablet of [chief, ...others]) {
      await tablet.until(() => tablet.ids.includes(entry.id), "the excuse");
      expect(tablet.raw.join("\n").includes(words)).toBe(tablet === chief);
    }
  });
});

describe("every byte that anybody is sent", () => {
  it.each(Array.from({ length: 12 }, (_, seed) => seed + 1))(
    "[Y2] seed %i: nothing of another's before its place is open, and all of it after",
    async (seed) => {
      const { heard, secrets, isOpen } = await aSeededDay(seed);
      expect(secrets.length).toBeGreaterThan(10);
      let opened = 0;
      for (const { person, roles, tablet } of heard) {
        expect([person, tablet.refused]).toEqual([person, []]);
        const bytes = tablet.raw.join("\n");
        // Coverage says which cells are filled; of how, no frame but an entry may speak.
        for (const text of tablet.raw)
          if (!text.startsWith('{"frame":"entries"')) expect(text).not.toContain('"level"');
        for (const { entry, by, place, words } of secrets) {
          if (by === person) continue;
          const reads = roles.includes("judge") || roles.includes("chief");
          const may = reads && isOpen(place);
          const told = tablet.ids.includes(entry.id);
          expect([seed, person, place, entry.kind, told]).toEqual([
            seed,
            person,
            place,
            entry.kind,
            may,
          ]);
          if (!may) expect(bytes).not.toContain(entry.id);
          if (words && !(may && roles.includes("chief"))) expect(bytes).not.toContain(words);
          if (may) opened++;
        }
      }
      seen.opened += opened;
    },
  );
  const seen = { opened: 0 };
  it("[Y2] some places of these days were opened, so that something could have been seen too early", () => {
    expect(seen.opened).toBeGreaterThan(100);
  });
});
