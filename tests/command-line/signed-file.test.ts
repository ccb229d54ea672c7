import { generateKeyPairSync } from "node:crypto";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeEach, describe, expect, it } from "vitest";
import type { CandidateId } from "../../src/belt-test/identity.ts";
import type { ScorebookFile } from "../../src/belt-test/scorebook/scorebook-file.ts";
import { withStore } from "../../src/command-line/data-store.ts";
import { sayTerminal } from "../../src/command-line/say-terminal.ts";
import { startHub } from "../../src/hub/main.ts";
import { HeadSigner } from "../../src/hub/seals/head-signer.ts";
import { ownKey } from "../../src/hub/seals/own-key.ts";
import { storeHomeAt } from "../../src/hub/store/open-store.ts";
import { testBooks } from "../../src/hub/test-room/test-books.ts";
import { longDay } from "../../src/words/dates.ts";
import { aGradingId, revouched } from "../builders/a-pen.ts";
import { aScorebookFile } from "./a-scorebook-file.ts";
import { aFolder, run } from "./run.ts";

type Entries = { id: string; n: number; device: string }[];

let folder: string;
let fingerprint: string;
const { file } = aScorebookFile();
const opened = file.entries.find(({ kind }: { kind: string }) => kind === "opened");
/** As the chief examiner's other tablet saved it. */
const longer = {
  ...file,
  person: opened.by,
  entries: [...file.entries, revouched({ ...opened, device: "other", n: 1 })],
};

/** A hub that holds a test, has a key, and has written `signed.json`. */
beforeEach(async () => {
  folder = aFolder({ "book.json": file, "longer.json": longer });
  await run(folder, ["import", "book.json"]);
  const dataFolder = join(folder, "evenhand-data");
  const hub = await startHub({ port: 0, host: "127.0.0.1", dataFolder });
  fingerprint = hub.desk.fingerprint;
  await hub.close();
  await run(folder, ["export", "--out", "signed.json"]);
});
const signed = () =>
  JSON.parse(readFileSync(join(folder, "signed.json"), "utf8")) as Omit<
    ScorebookFile,
    "entries"
  > & {
    entries: Entries;
  };
const imported = async (name: string, data = "new") => {
  const { code, out, err } = await run(folder, ["import", name, "--data", data, "--json"]);
  return { code, err, ...(out ? JSON.parse(out) : {}) };
};

describe("a file that a hub signed", () => {
  it("[L89] with a name taken out is read, and report says so as import does", async () => {
    const { sides, ...rest } = signed();
    writeFileSync(join(folder, "less.json"), JSON.stringify({ ...rest, sides: sides.slice(1) }));
    expect((await run(folder, ["report", "signed.json"])).out).not.toMatch(/not in the file/);
    const { code, out } = await run(folder, ["report", "less.json"]);
    expect(code).toBe(0);
    expect(out).toContain("1 name or text that its entries speak of is not in the file");
    const beside = await run(folder, ["report", "less.json", "--json"]);
    expect(beside.err).toContain("is not in the file");
  });

  it("[V115] a verdict that is not what its marks come to is named by report, import and verify, and nothing is refused", async () => {
    const lie = aScorebookFile(({ chief, candidates }) => {
      chief.hear(900);
      const body = { candidate: candidates[0] as CandidateId, retestSections: [], basis: {} };
      return [chief.write("verdict", { ...body, result: "pass", computed: "pass" })];
    });
    writeFileSync(join(folder, "lie.json"), JSON.stringify(lie.file));
    const says =
      /verdict of number 1 \(candidate-1\) says pass, but .* comes to an incomplete result/;
    const plain = (text: string) => text.replace(/\s+/g, " ");
    for (const args of [
      ["report", "lie.json"],
      ["import", "lie.json", "--data", "elsewhere"],
      ["verify", "--data", "elsewhere"],
    ]) {
      const { code, out } = await run(folder, args);
      expect([args[0], code]).toEqual([args[0], 0]);
      expect(plain(out)).toMatch(says);
    }
    const { out } = await run(folder, ["verify", "--data", "elsewhere", "--json"]);
    expect(JSON.parse(out)).toMatchObject({ sound: true, verdicts: [{ test: "grading-1" }] });
    expect(plain((await run(folder, ["report", "book.json"])).out)).not.toMatch(
      /verdict of number/,
    );
  });

  it("[L21] bears where the hub's record stands, on which the hub finds it", async () => {
    const { heads = [], chain = [], entries, sides } = signed();
    expect({ entries, sides }).toEqual({ entries: file.entries, sides: file.sides });
    expect(chain).toHaveLength(entries.length);
    expect(heads).toMatchObject([{ seq: entries.length, chain: chain.at(-1)?.link }]);
    const { code, out } = await run(folder, ["verify", "--heads", "signed.json"]);
    expect(code).toBe(0);
    expect(out).toContain(`as the tablet had it after ${entries.length} entries`);
  });

  it("[L21] comes in elsewhere, says who signed it, and takes the signed head along when it goes out again", async () => {
    const said = await run(folder, ["import", "signed.json", "--data", "new"]);
    expect(said).toMatchObject({ code: 0, err: "" });
    expect(said.out).toContain(`as the hub wrote it up to entry ${file.entries.length} (`);
    expect(said.out).toContain(`that hub signs as ${fingerprint}`);
    const again = JSON.parse((await run(folder, ["export", "--data", "new"])).out);
    expect(again.heads).toEqual(signed().heads);
    // Another hub's head is no fault of this one's record.
    expect(await run(folder, ["verify", "--data", "new"])).toMatchObject({ code: 0 });
    writeFileSync(join(folder, "again.json"), JSON.stringify(again));
    expect((await run(folder, ["verify", "--heads", "again.json"])).code).toBe(0);
  });

  const changes: [string, string, (book: ReturnType<typeof signed>) => void][] = [
    [
      "an entry changed",
      "chain[4]: what stands here",
      ({ entries, chain = [] }) => {
        const entry = entries.find(({ id }) => id === chain[4]?.id);
        if (entry) entry.n += 1000;
      },
    ],
    [
      "an entry taken out",
      "chain[6]: what stands here",
      ({ entries, chain = [] }) => {
        entries.splice(
          entries.findIndex(({ id }) => id === chain[6]?.id),
          1,
        );
      },
    ],
    [
      "an entry put in",
      ": this entry was not on the record",
      ({ entries }) => {
        const [first] = entries;
        if (first)
          entries.push({ ...first, id: "00000000-0000-7000-8000-ffffffffffff", device: "other" });
      },
    ],
    [
      "two entries in another order",
      "chain[2]: what stands here",
      ({ chain = [] }) => {
        [chain[2], chain[3]] = [chain[3] as never, chain[2] as never];
      },
    ],
    [
      "the last entry taken out, and its link",
      "heads: the hub's signature in it does not fit its last entry",
      ({ entries, chain = [] }) => {
        const last = chain.pop();
        entries.splice(
          entries.findIndex(({ id }) => id === last?.id),
          1,
        );
      },
    ],
    [
      "a head that was never signed",
      "heads[0]: this bears no good signature",
      ({ heads = [] }) => {
        const [head] = heads;
        if (head) head.seq--;
      },
    ],
  ];
  it.each(changes)(
    "[L21] is refused with %s, and nothing of it is used",
    async (_, place, change) => {
      const book = signed();
      change(book);
      writeFileSync(join(folder, "changed.json"), JSON.stringify(book));
      const { code, err } = await imported("changed.json");
      expect(code).toBe(2);
      expect(err).toContain("changed.json, ");
      expect(err).toContain(place);
      expect((await run(folder, ["export", "--data", "new"])).code).toBe(2);
    },
  );

  const signerOfHub = () =>
    withStore(
      storeHomeAt({ dataFolder: join(folder, "evenhand-data") }, testBooks),
      {},
      async ({ door }) => new HeadSigner((await ownKey(door)) ?? ""),
    );
  /** The export of the hub as it stood some lines before, with that head, as a tablet may hold it. */
  const cutBack = async (lines: number) => {
    const { chain = [], entries, ...rest } = signed();
    const left = chain.slice(0, -lines);
    const signer = await signerOfHub();
    const head = signer.sign(aGradingId, left.length, left.at(-1)?.link ?? "");
    const ids = new Set<string>(left.map(({ id }) => id));
    return {
      ...rest,
      heads: [head],
      chain: left,
      entries: entries.filter(({ id }) => ids.has(id)),
    };
  };
  const remarkOf = async (name: string, book: object) => {
    writeFileSync(join(folder, name), JSON.stringify(book));
    const report = await run(folder, ["report", name], undefined, 1000);
    const into = await run(folder, ["import", name, "--data", `of-${name}`], undefined, 1000);
    expect([report.code, into.code]).toEqual([0, 0]);
    const [, , , first = "none"] = report.out.split("\n");
    expect(into.out.split("\n")[1]).toBe(first);
    return first;
  };

  it("[L117] is said to be as the hub wrote it up to its last entry, with that entry's time, and no more", async () => {
    const { entries, chain = [] } = signed();
    const { at = 0 } = entries.find(({ id }) => id === chain.at(-4)?.id) as { at?: number };
    const first = await remarkOf("cut.json", await cutBack(3));
    const [day = "", time = ""] = new Date(at).toISOString().split("T");
    const moment = `${longDay(day, sayTerminal.locale)}, ${time.slice(0, 5)} UTC`;
    expect(first).toContain(`up to entry ${chain.length - 3} (${moment})`);
    expect(first).toContain("only the hub can say");
    expect(entries).toHaveLength(chain.length);
  });

  it("[L117] that was cut back and bears a later head of the same hub is told first, whoever else signed its end", async () => {
    const cut = await cutBack(3);
    const heads = [...cut.heads, ...(signed().heads ?? [])];
    const says = `ends after entry ${cut.chain.length}`;
    const first = await remarkOf("later.json", { ...cut, heads });
    expect(first).toContain(says);
    expect(first).toContain(`has signed entry ${file.entries.length}`);
    expect(first).not.toContain("as the hub wrote it");
    const { privateKey } = generateKeyPairSync("ed25519");
    const stranger = new HeadSigner(privateKey.export({ type: "pkcs8", format: "pem" }).toString());
    const own = stranger.sign(aGradingId, cut.chain.length, cut.chain.at(-1)?.link ?? "");
    expect(await remarkOf("twice.json", { ...cut, heads: [own, ...heads] })).toContain(says);
    const beside = stranger.sign(aGradingId, cut.chain.length + 1, "0".repeat(64));
    expect(await remarkOf("beside.json", { ...cut, heads: [beside, ...cut.heads] })).toContain(
      "as the hub wrote it",
    );
  });

  it("[L117] that bears a head of the same hub which contradicts its chain is told first", async () => {
    const { heads = [], ...rest } = signed();
    const { heads: other } = await cutBack(3);
    const signer = await signerOfHub();
    const apart = signer.sign(aGradingId, 4, "a".repeat(64));
    const first = await remarkOf("apart.json", { ...rest, heads: [apart, ...other, ...heads] });
    expect(first).toContain("after entry 4");
    expect(first).not.toContain("as the hub wrote it");
    expect(await remarkOf("older.json", { ...rest, heads: [...other, ...heads] })).toContain(
      "as the hub wrote it",
    );
    expect(await imported("apart.json", "json")).toMatchObject({
      signed: true,
      apart: { why: "otherwise", seq: 4 },
    });
  });

  it("[L82] of another hub adds to a test that is here only where somebody vouches for that hub", async () => {
    // The same test in another store, with a hub of its own, and one line behind.
    await run(folder, ["import", "book.json", "--data", "other"]);
    const dataFolder = join(folder, "other");
    await (await startHub({ port: 0, host: "127.0.0.1", dataFolder })).close();
    await run(folder, ["import", "longer.json"]);
    await run(folder, ["export", "--out", "later.json"]);
    const { code, err } = await imported("later.json", "other");
    expect(code).toBe(2);
    expect(err).toContain(`signed by another hub, ${fingerprint}`);
    const vouched = ["import", "later.json", "--data", "other", "--json", "--signed-by"];
    expect((await run(folder, [...vouched, "0".repeat(64)])).code).toBe(2);
    const { out } = await run(folder, [...vouched, fingerprint]);
    expect(JSON.parse(out)).toMatchObject({ added: 1, signed: true });
  });

  it("[L21] finds, once imported, that its own hub's record is an older one", async () => {
    await run(folder, ["backup", "older.sqlite"]);
    await run(folder, ["import", "longer.json"]);
    await run(folder, ["export", "--out", "later.json"]);
    await run(folder, ["restore", "older.sqlite", "--data", "new"]);
    expect((await run(folder, ["verify", "--data", "new"])).code).toBe(0);
    expect(await imported("later.json")).toMatchObject({
      code: 0,
      added: 1,
      heads: [{ seq: longer.entries.length, result: "rewritten" }],
    });
    const { code, out } = await run(folder, ["verify", "--data", "new"]);
    expect(code).toBe(1);
    expect(out.replace(/\s+/g, " ")).toContain(
      `NOT as it was after ${longer.entries.length} entries`,
    );
    const { sound, kept } = JSON.parse(
      (await run(folder, ["verify", "--data", "new", "--json"])).out,
    );
    expect([sound, kept]).toMatchObject([false, [{ result: "rewritten" }]]);
  });
});
