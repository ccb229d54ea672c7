import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import Papa from "papaparse";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import { rosterOf } from "../../src/belt-test/planning/roster.ts";
import { isSound, rubricFindings } from "../../src/belt-test/rubric/check.ts";
import { Rubric } from "../../src/belt-test/rubric/rubric.ts";
import { readScorebookFile } from "../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fold } from "../../src/belt-test/scorebook/scorebook.ts";
import { scorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import { testPack } from "../../src/belt-test/scorebook/test-pack.ts";
import { outcome } from "../../src/belt-test/verdict/outcome-of.ts";
import { Reconciler } from "../../src/belt-test/verdict/reconciler.ts";
import { deviceOf } from "../../src/book/counts.ts";
import type { AnyEntry } from "../../src/book/entry.ts";
import type { DeviceId, PersonId } from "../../src/book/identity.ts";
import { readMarks } from "../../src/command-line/read-marks.ts";
import { readRoster } from "../../src/command-line/read-roster.ts";
import { Trouble } from "../../src/command-line/trouble.ts";
import type { Chance } from "../../src/demo/chance.ts";
import { GradingRoom } from "../../src/hub/test-room/grading-room.ts";
import { FromTablet, MAX_BATCH } from "../../src/line/protocol.ts";
import { sealedPack } from "../../src/line/sealed-pack.ts";
import { readPack } from "../../src/tablet/screens/home/read-pack.ts";
import { aCase } from "../builders/a-case.ts";
import { aMarkedDay } from "../builders/a-marked-day.ts";
import { aGradingId, aPen } from "../builders/a-pen.ts";
import { aMark, aTestDay } from "../builders/a-test-day.ts";
import { openMemoryScorebook } from "../builders/memory-scorebook.ts";
import { shippedRubrics } from "../builders/shipped-rubrics.ts";
import { mutatedDeeply, mutatedJson, mutatedText } from "./mutated.ts";

/** One way into Evenhand. `tries` hands in one hostile input; throws when it was not refused in words, or was accepted and is not sound. */
export interface Target {
  name: string;
  /** Of all inputs, this share comes here. */
  share: number;
  tries: (chance: Chance) => Promise<"accepted" | "refused">;
}

const demand = (isSo: boolean, what: string): void => {
  if (!isSo) throw new Error(`accepted although ${what}`);
};
const isText = (value: unknown, least: number, most: number): boolean =>
  typeof value === "string" && value.length >= least && value.length <= most;
const isWhole = (value: unknown, least: number, most: number): boolean =>
  Number.isInteger(value) && Number(value) >= least && Number(value) <= most;

/** Frames as text, as a socket brings them. What a frame may be is written down here once more. */
function frames(): Target {
  const mark = aMark(aPen("judge-1"));
  const side = {
    id: "s",
    grading: aGradingId,
    about: "candidate-1",
    kind: "text",
    salt: "0".repeat(32),
    body: { text: "t" },
  };
  const valid = [
    {
      frame: "hello",
      protocol: 2,
      token: "t".repeat(43),
      grading: aGradingId,
      device: "d",
      feed: "f",
      cursor: 3,
      link: "ab",
    },
    { frame: "append", entries: [mark, mark], sides: [side] },
    { frame: "pace", count: 3 },
    { frame: "holding", unsent: 2 },
    { frame: "ping" },
  ];
  return {
    name: "frames",
    share: 0.4,
    async tries(chance) {
      const one = chance.pick(valid);
      const text =
        chance.share() < 0.5
          ? JSON.stringify(mutatedJson(one, chance))
          : mutatedText(JSON.stringify(one), chance);
      let json: unknown;
      try {
        json = JSON.parse(text);
      } catch {
        return "refused";
      }
      const read = FromTablet.safeParse(json);
      if (!read.success) return "refused";
      const frame = read.data as Record<string, unknown>;
      switch (frame.frame) {
        case "hello":
          demand(isText(frame.token, 20, 200), "the token is none");
          demand(isWhole(frame.cursor, 0, Number.MAX_SAFE_INTEGER), "the cursor is none");
          demand(Number.isInteger(frame.protocol), "the protocol is none");
          break;
        case "append": {
          const { entries, sides = [] } = frame as { entries: unknown[]; sides?: unknown[] };
          demand(Array.isArray(entries) && entries.length <= MAX_BATCH, "the batch is too long");
          for (const one of sides as Record<string, unknown>[]) {
            demand(/^[0-9a-f]{32}$/.test(String(one.salt)), "a salt is none");
            demand(typeof one.body === "object" && one.body !== null, "a body is none");
          }
          break;
        }
        case "pace":
          demand(isWhole(frame.count, 0, 60), "nobody counts so far");
          break;
        case "holding":
          demand(isWhole(frame.unsent, 0, Number.MAX_SAFE_INTEGER), "nobody holds so many");
          break;
        default:
          demand(frame.frame === "ping", "there is no such frame");
      }
      return "accepted";
    },
  };
}

/** Entries handed in at a hub's room by an admitted judge. */
function entries(): Target {
  const judge = "judge-1" as PersonId;
  const device = "judge-1-tablet" as DeviceId;
  const { plan, candidates } = aTestDay();
  let room: GradingRoom | undefined;
  let left = 0;
  /** How far the hub has heard each count. */
  const last = new Map<string, number>();
  return {
    name: "entries at the hub",
    share: 0.3,
    async tries(chance) {
      if (!room || left-- <= 0) {
        room = await GradingRoom.open(aGradingId, openMemoryScorebook(), "hub");
        const chief = { person: "chief" as PersonId, roles: ["chief"] as const };
        await room.handIn({ ...chief, device: "chief-tablet" as DeviceId }, plan);
        left = 200;
        last.clear();
      }
      const pen = aPen("judge-1");
      pen.hear(plan.length + 200);
      const made = aMark(pen, { candidate: chance.pick(candidates) ?? "" });
      const n = last.get(made.device) ?? 0;
      const mark = { ...made, n: n + 1 };
      const hostile = mutatedDeeply(mark, chance);
      const { kept, refused } = await room.handIn({ person: judge, roles: ["judge"], device }, [
        hostile,
      ]);
      // The hub says up to where it has heard this device; a line of which it heard no number leaves that as it was.
      const gap = refused.find(({ fault }) => fault.code === "N_GAP");
      if ((hostile as AnyEntry | null)?.device === made.device)
        last.set(made.device, gap ? Number(gap.fault.with?.last) : n + 1);
      demand(kept.length + refused.length === 1, "it was answered more or less than once");
      if (kept.length === 0) return "refused";
      const one = hostile as AnyEntry & {
        body: { cells?: { candidate: string; level: unknown }[] };
      };
      demand(one.by === judge, "another person's name is on it");
      demand(deviceOf(one.device) === device && one.grading === aGradingId, "it is another's");
      demand(isWhole(one.lamport, 0, plan.length + 10_500), "its count is far ahead");
      if (one.kind !== "mark") return "accepted";
      for (const { candidate, level } of one.body.cells ?? []) {
        demand(candidates.includes(candidate as CandidateId), "nobody is called so");
        demand(
          level === "not-seen" || level === "cleared" || isWhole(level, 1, 4),
          `${String(level)} is no level`,
        );
      }
      return "accepted";
    },
  };
}

/** Rubrics as somebody may write them. One that is called sound must come to a verdict for a child with every mark. */
function rubrics(): Target {
  const valid = shippedRubrics.map(({ json }) => json);
  return {
    name: "rubrics",
    share: 0.03,
    async tries(chance) {
      const hostile = mutatedDeeply(chance.pick(valid), chance);
      const findings = rubricFindings(hostile);
      if (!isSound(findings)) {
        demand(findings.length > 0, "no reason is given");
        return "refused";
      }
      const rubric = Rubric.parse(hostile);
      const { score, computed } = outcome(aCase({ rubric, judges: 2 }));
      demand(
        computed === "incomplete" || (score !== null && score.percent >= 0 && score.percent <= 100),
        `a child with every mark comes to ${score?.percent}`,
      );
      return "accepted";
    },
  };
}

/** Rosters as a spreadsheet may give them. */
function rosters(): Target {
  const valid = [
    "number,given,family,rubric,birth-year,sounds",
    ...Array.from({ length: 8 }, (_, at) => `${at + 1},Anya${at},Frost,white,201${at},AHN-ya`),
  ].join("\n");
  const known = { rubrics: ["white"], taken: [99], latestYear: 2026 };
  return {
    name: "rosters",
    share: 0.1,
    async tries(chance) {
      let text = valid;
      for (let times = 1 + Math.floor(chance.share() * 3); times > 0; times--)
        text = mutatedText(text, chance);
      const { data } = Papa.parse<string[]>(text, { delimitersToGuess: [",", ";", "\t"] });
      const read = rosterOf(data, known);
      if (!read.ok) {
        demand(read.problems.length > 0, "no reason is given");
        return "refused";
      }
      const numbers = read.candidates.map(({ number }) => number);
      demand(new Set(numbers).size === numbers.length, "two have one number");
      for (const one of read.candidates) {
        demand(isWhole(one.number, 1, 9999) && one.number !== 99, "a number is none, or taken");
        demand(isText(one.given, 1, 80), "a name is none");
        demand(one.rubric === "white", "there is no such rubric");
        demand(one.birthYear === undefined || isWhole(one.birthYear, 1900, 2026), "a year is none");
      }
      return "accepted";
    },
  };
}

/** Marks and rosters as files that a command reads. Every mark that is read is one that could have been given. */
function files(): Target {
  const file = join(mkdtempSync(join(tmpdir(), "evenhand-hostile-")), "hostile.csv");
  process.on("exit", () => rmSync(dirname(file), { recursive: true, force: true }));
  const marks = [
    "candidate,judge,section,item,criterion,mark,side,how",
    ...["3", "1", "not-seen", "4"].map(
      (mark, at) => `${at},judge-${at % 2},blocks,rising-block,chamber,${mark},left,tapped`,
    ),
  ].join("\n");
  const roster = ["candidate,given,family,number", "c1,Anya,Frost,1", "c2,Ben,Oak,2"].join("\n");
  return {
    name: "files of a command",
    share: 0.05,
    async tries(chance) {
      const isMarks = chance.share() < 0.7;
      let text = isMarks ? marks : roster;
      for (let times = 1 + Math.floor(chance.share() * 3); times > 0; times--)
        text = mutatedText(text, chance);
      // A lone half of a letter has no bytes; some files are of no encoding at all.
      writeFileSync(file, chance.share() < 0.1 ? Buffer.from(text, "latin1") : text);
      try {
        if (isMarks)
          for (const { mark } of readMarks(file).marks) {
            demand(mark.level === "not-seen" || isWhole(mark.level, 1, 9), "a mark is none");
            demand(isText(mark.candidate, 1, 64) && isText(mark.judge, 1, 64), "nobody is named");
            demand([null, "left", "right"].includes(mark.side), "there is no such side");
          }
        else
          for (const { candidate, number } of readRoster(file).values()) {
            demand(candidate !== "", "nobody is named");
            demand(number === undefined || isWhole(number, 1, 9999), "a number is none");
          }
        return "accepted";
      } catch (error) {
        if (!(error instanceof Trouble)) throw error;
        demand(error.complaints.length > 0, "no reason is given");
        return "refused";
      }
    },
  };
}

/** Scorebook files from anywhere. One that is read must fold and reconcile. */
function scorebooks(): Target {
  const { entries: written } = aMarkedDay({ day: aTestDay({ judges: 2, candidates: 2 }) });
  const valid = JSON.parse(JSON.stringify(scorebookFile(aGradingId, written, [])));
  return {
    name: "scorebook files",
    share: 0.06,
    async tries(chance) {
      const read = readScorebookFile(mutatedDeeply(valid, chance));
      if (!read.ok) return "refused";
      const { file } = read;
      const ids = new Set(file.entries.map(({ id }) => id));
      demand(ids.size === file.entries.length, "two entries have one id");
      for (const one of new Reconciler(fold(file.entries)).outcomes())
        demand(
          one.score === null || (one.score.percent >= 0 && one.score.percent <= 100),
          `somebody comes to ${one.score?.percent}`,
        );
      return "accepted";
    },
  };
}

/** Test packs as a tablet opens them. */
function packs(): Target {
  const valid = JSON.parse(JSON.stringify(sealedPack(testPack(fold(aTestDay().plan), []))));
  return {
    name: "test packs",
    share: 0.06,
    async tries(chance) {
      const text =
        chance.share() < 0.7
          ? JSON.stringify(mutatedJson(valid, chance))
          : mutatedText(JSON.stringify(valid), chance);
      const read = readPack(text);
      if (!read.ok) return "refused";
      demand(isText(read.pack.title, 1, 120), "it has no title");
      demand(/^\d{4}-\d{2}-\d{2}$/.test(read.pack.date), "it has no day");
      demand(read.pack.people.length > 0, "nobody could take this tablet");
      return "accepted";
    },
  };
}

export const targets = (): Target[] => [
  frames(),
  entries(),
  rubrics(),
  rosters(),
  files(),
  scorebooks(),
  packs(),
];
