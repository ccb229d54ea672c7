import { execFileSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { diskBeside } from "../../../src/hub/copies/disk-beside.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "evenhand-beside-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe("the disk of the copies", () => {
  it("[L118] is waited for by a process of its own: this one goes on, and has the answers when they come", async () => {
    const { disk, close } = diskBeside();
    const pipe = join(folder, "pipe");
    execFileSync("sh", ["-c", `mkfifo ${pipe}`]);
    writeFileSync(join(folder, "copy"), "marks");
    const answers: string[] = [];
    // Nobody has anything to say into the pipe yet: whoever opens it stands still.
    const hung = disk.ends(pipe).catch(() => answers.push("hung"));
    const looked = disk.look(folder).then(() => answers.push("looked"));
    await new Promise((done) => setTimeout(done, 1500));
    expect(answers).toEqual([]);
    execFileSync("sh", ["-c", ": > pipe"], { cwd: folder });
    await Promise.all([hung, looked]);
    expect(answers).toEqual(["hung", "looked"]);
    const { files } = await disk.look(folder);
    expect(files.map(({ file }) => file)).toEqual(["copy"]);
    const part = await disk.read(join(folder, "copy"), 1, 3);
    expect(Buffer.from(part).toString()).toBe("ark");
    await expect(disk.remove(join(folder, "nobody"))).rejects.toMatchObject({ code: "ENOENT" });
    close();
  });

  it("[L118] is asked anew where its process went for want of questions, or was ended", async () => {
    const { disk, close } = diskBeside(20);
    for (let at = 0; at < 2; at++) {
      expect((await disk.look(folder)).files).toEqual([]);
      await new Promise((done) => setTimeout(done, 200));
    }
    close();
    expect((await disk.look(folder)).files).toEqual([]);
    close();
  });
});
