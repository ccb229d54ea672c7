import { spawnSync } from "node:child_process";
import { randomUUID } from "node:crypto";
import { fileURLToPath } from "node:url";
import { type Pass, RawTablet } from "./a-raw-tablet.ts";
import { ARealHub } from "./a-real-hub.ts";

const root = fileURLToPath(new URL("../../..", import.meta.url));
const four = ["not yet", "nearly", "meets", "strong"];
/** As a school's file has it, with nothing that a default would fill in left out. */
const rubric = {
  id: "white-to-yellow",
  version: 1,
  title: "White to yellow",
  language: "en",
  from: { id: "kyu-9", title: "9th kyu", belt: { name: "white", colour: "#FFFFFF" } },
  to: { id: "kyu-8", title: "8th kyu", belt: { name: "yellow", colour: "#F2C12E" } },
  audience: "adult",
  scale: {
    levels: four.map((title, at) => ({ title, points: [0, 33.3, 66.7, 100][at] })),
    meetsLevel: 3,
  },
  criteria: [{ id: "stance", title: "Stance", weight: 1, descriptors: four }],
  sections: [
    {
      id: "blocks",
      title: "Blocks",
      weight: 1,
      floor: 0,
      marking: "line",
      overall: false,
      items: ["rising", "low"].map((id) => ({
        id,
        title: id,
        group: "block",
        weight: 1,
        counts: 6,
        sides: "one",
        criteria: ["stance"],
        cues: [],
        faults: [],
        partner: false,
      })),
    },
  ],
  panel: { quorum: 1, combine: "mean" },
  disagreement: { levelGap: 2, borderlineBand: 3, loneDissent: 3.5 },
  pass: { mark: 50, rounding: { to: 0.1, mode: "half-up" } },
  retest: { waitDays: 28, scope: "sections", keptMonths: 12, attempts: 3 },
};
export const CHILDREN = ["mia", "ben"];

/** A real hub with a test under way, made over its doors and lines by nobody who shares code with it. */
export class RawDay {
  readonly hub: ARealHub;
  readonly grading: string;
  readonly chief: RawTablet;
  readonly #chiefToken: string;

  private constructor(hub: ARealHub, grading: string, chief: RawTablet, token: string) {
    this.hub = hub;
    this.grading = grading;
    this.chief = chief;
    this.#chiefToken = token;
  }
  /** @param judges  who marks every child in the one section. */
  static async begin(judges: readonly string[]): Promise<{ day: RawDay; judges: RawTablet[] }> {
    const hub = await ARealHub.start();
    const grading = randomUUID();
    const token = await hub.claim("chief-laptop");
    await hub.ask("POST", "/api/gradings", { token, body: { grading, device: "chief-laptop" } });
    const chief = await RawTablet.on(hub.line, { token, grading, device: "chief-laptop" });
    const { person } = chief.who;
    const day = new RawDay(hub, grading, chief, token);
    const tablets: RawTablet[] = [];
    for (const judge of judges) tablets.push(await day.comes(judge, "judge"));
    const people = tablets.map((one) => one.who.person);
    await day.plans(
      ["opened", { title: "Summer", date: "2026-06-06", rules: 3 }],
      ["frozen", { rubric }],
      ["seated", { person, roles: ["chief"] }],
      ...people.map((one): [string, object] => ["seated", { person: one, roles: ["judge"] }]),
      ...CHILDREN.map((candidate, at): [string, object] => [
        "entered",
        { candidate, number: at + 1, rubric: rubric.id },
      ]),
      ["lined-up", { wave: 1, lanes: CHILDREN }],
      ...people.map((judge): [string, object] => [
        "assigned",
        { judge, section: "blocks", candidates: CHILDREN },
      ]),
      ["started", {}],
    );
    for (const tablet of tablets)
      await tablet.until(() => tablet.entries.some(({ kind }) => kind === "started"), "the plan");
    return { day, judges: tablets };
  }

  async plans(...lines: [kind: string, body: object][]): Promise<void> {
    const entries = lines.map(([kind, body]) => this.chief.write(kind, { ...body }));
    const refused = await this.chief.handIn(...entries);
    const at = refused.findIndex(Boolean);
    if (at >= 0) throw new Error(`RawDay: ${lines[at]?.[0]} was refused with ${refused[at]}`);
  }
  /** Knocks, is let in by the chief, and is on the line. */
  async comes(name: string, role: string): Promise<RawTablet> {
    return RawTablet.on(this.hub.line, await this.knows(name, role));
  }
  /** Knocks and is let in. */
  async knows(name: string, role: string): Promise<Pass> {
    const { hub, grading } = this;
    const device = `${name}-tablet`;
    const token = this.#chiefToken;
    const code = (await hub.ask("GET", `/api/gradings/${grading}/code`, { token })).json.code;
    const knock = { code, device, name, wants: role };
    const joined = await hub.ask("POST", "/api/join", { body: knock });
    const admit = `/api/gradings/${grading}/devices/${device}/admit`;
    await hub.ask("POST", admit, { token, body: { roles: [role] } });
    return { token: String(joined.json.token), grading, device };
  }
  /** What the program itself says of the test. */
  async report(): Promise<{
    candidates: { candidate: string; computed: string; panelMarks: unknown[] }[];
  }> {
    const file = `${this.hub.folder}/out-${randomUUID()}.json`;
    await this.hub.command("export", this.grading, "--out", file);
    const args = ["src/command-line/evenhand.mjs", "report", file, "--json"];
    const said = spawnSync(process.execPath, args, { encoding: "utf8", cwd: root });
    return JSON.parse(said.stdout);
  }
  async end(): Promise<void> {
    this.chief.hangUp();
    await this.hub.end();
  }
}
