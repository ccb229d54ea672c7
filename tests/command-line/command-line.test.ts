import { spawnSync } from "node:child_process";
import { mkdirSync, writeFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { librariesIn } from "../../src/command-line/libraries.ts";
import { readJson } from "../../src/command-line/read-file.ts";
import { aRubric } from "../builders/a-rubric.ts";
import { anId } from "../builders/an-id.ts";
import { aFolder, run } from "./run.ts";

const script = resolve("src/command-line/evenhand.mjs");
/** As a shell runs it. */
const spawned = (folder: string, ...args: string[]) => {
  const { status, stdout, stderr } = spawnSync(process.execPath, [script, ...args], {
    cwd: folder,
    encoding: "utf8",
  });
  return { status, stdout, stderr };
};

describe("the command line, from a shell", () => {
  it("exits 0 when done, 1 when a checked thing is not sound, 2 for bad usage or input", () => {
    const folder = aFolder({
      "good.json": aRubric(),
      "bad.json": { ...aRubric(), scale: { ...aRubric().scale, meetsLevel: 9 } },
    });
    expect(spawned(folder, "check", "good.json")).toMatchObject({ status: 0, stderr: "" });
    const unsound = spawned(folder, "check", "good.json", "bad.json");
    expect(unsound).toMatchObject({ status: 1, stderr: "" });
    expect(unsound.stdout).toContain("bad.json: 1 fault");
    const missing = spawned(folder, "check", "none.json");
    expect(missing).toMatchObject({ status: 2, stdout: "" });
    expect(missing.stderr).toContain("none.json: this file cannot be read");
    expect(spawned(folder, "--help")).toMatchObject({ status: 0 });
  });
});

describe("the command line", () => {
  it.each(["report", "check", "export", "import"])(
    "%s explains itself, and is in the overview",
    async (name) => {
      const folder = aFolder();
      expect(await run(folder, [name, "--help"])).toMatchObject({
        code: 0,
        err: "",
        out: expect.stringContaining(`evenhand ${name} `),
      });
      expect((await run(folder, ["--help"])).out).toMatch(new RegExp(`^ {2}${name} +\\S`, "m"));
    },
  );

  it.each(["serve", "demo"])("%s is in the overview", async (name) => {
    expect((await run(aFolder(), ["--help"])).out).toMatch(new RegExp(`^ {2}${name} +\\S`, "m"));
  });

  it("names a command, an option or a value that it does not know", async () => {
    const folder = aFolder();
    expect(await run(folder, ["frobnicate"])).toMatchObject({
      code: 2,
      out: "",
      err: expect.stringContaining("“frobnicate”"),
    });
    expect(await run(folder, ["constructor"])).toMatchObject({ code: 2 });
    expect(await run(folder, ["report", "--colour"])).toMatchObject({
      code: 2,
      err: expect.stringContaining("--colour"),
    });
    expect(await run(folder, ["report", "--roster"])).toMatchObject({
      code: 2,
      err: expect.stringContaining("--roster"),
    });
    expect(await run(folder, ["report"])).toMatchObject({
      code: 2,
      err: expect.stringContaining("Give one file"),
    });
    expect(await run(folder, ["check"])).toMatchObject({
      code: 2,
      err: expect.stringContaining("at least one rubric"),
    });
    expect(await run(folder, [])).toMatchObject({ code: 2 });
  });

  it("check looks up the faults a rubric names in the library beside it, else in the school's folder", async () => {
    const rubric = aRubric();
    const [first] = rubric.sections;
    const [item] = first?.items ?? [];
    if (item) item.faults = [anId("no-such-fault")];
    const library = { id: "f", version: 1, title: "F", language: "en", faults: [], practice: [] };
    const alone = aFolder({ "r.json": rubric });
    expect((await run(alone, ["check", "r.json"])).code).toBe(0);
    const beside = aFolder({ "r.json": rubric, "faults-and-cues.json": library });
    const { code, out } = await run(beside, ["check", "r.json"]);
    expect(code).toBe(1);
    expect(out).toContain("fault at sections[0].items[0].faults[0]: ");
    const school = aFolder({ "r.json": rubric });
    mkdirSync(join(school, "scoring-rubrics"));
    writeFileSync(join(school, "scoring-rubrics", "faults-and-cues.json"), JSON.stringify(library));
    expect((await run(school, ["check", "r.json"])).code).toBe(1);
    const broken = aFolder({ "r.json": rubric, "faults-and-cues.json": { ...library, faults: 3 } });
    expect(await run(broken, ["check", "r.json"])).toMatchObject({
      code: 2,
      err: expect.stringMatching(/faults-and-cues\.json, faults: is no library/),
    });
  });

  it("check reads a library once, however many rubrics go by it, and the library itself among them", () => {
    const library = { id: "f", version: 1, title: "F", language: "en", faults: [], practice: [] };
    const folder = aFolder({ "faults-and-cues.json": library });
    const reads: string[] = [];
    const { contentOf, libraryFor, libraryIn } = librariesIn(folder, (file) => {
      reads.push(file);
      return readJson(file);
    });
    const file = join(folder, "faults-and-cues.json");
    const [first, second] = ["a.json", "b.json"].map((name) => libraryFor(join(folder, name)));
    expect(first).toMatchObject({ id: "f" });
    expect(second).toBe(first);
    expect(contentOf(file)).toEqual(library);
    expect(libraryIn(file)).toBe(first);
    expect(reads).toEqual([file]);
  });

  it("check takes a school's folder whole: what is no rubric is named for what it is", async () => {
    const library = { id: "f", version: 1, title: "F", language: "en", faults: [], practice: [] };
    const folder = aFolder({
      "r.json": aRubric(),
      "faults-and-cues.json": library,
      "rubric.schema.json": { $schema: "https://json-schema.org/draft/2020-12/schema" },
      "misplaced.json": { ...aRubric(), faults: [] },
    });
    const whole = ["r.json", "faults-and-cues.json", "rubric.schema.json"];
    const { code, out } = await run(folder, ["check", ...whole]);
    expect(code).toBe(0);
    expect(out).toContain("r.json: sound");
    expect(out).toContain("faults-and-cues.json: a library of faults and cues, sound");
    expect(out).toContain("rubric.schema.json: a JSON Schema, no rubric: nothing to check");
    expect(JSON.parse((await run(folder, ["check", ...whole, "--json"])).out)).toEqual([
      { file: "r.json", sound: true, findings: expect.anything() },
      { file: "faults-and-cues.json", is: "library", sound: true, findings: [] },
      { file: "rubric.schema.json", is: "json-schema", sound: true, findings: [] },
    ]);
    // A field of an item at the top of the rubric: the same word is no suggestion.
    const misplaced = await run(folder, ["check", "misplaced.json"]);
    expect(misplaced.code).toBe(1);
    expect(misplaced.out).toContain("no field “faults”");
    expect(misplaced.out).not.toContain("Did you mean “faults”");
  });

  it("check gives each finding its place and its sentence, as data too", async () => {
    const folder = aFolder({
      "bad.json": { ...aRubric(), scale: { ...aRubric().scale, meetsLevel: 9 } },
    });
    const text = await run(folder, ["check", "bad.json"]);
    expect(text.out).toContain("fault at scale.meetsLevel: ");
    const { code, out } = await run(folder, ["check", "bad.json", "--json"]);
    expect(code).toBe(1);
    expect(JSON.parse(out)).toEqual([
      {
        file: "bad.json",
        sound: false,
        findings: [
          expect.objectContaining({
            severity: "fault",
            path: "scale.meetsLevel",
            sentence: expect.stringMatching(/\.$/),
          }),
        ],
      },
    ]);
  });
});
