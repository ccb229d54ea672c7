import { generateKeyPairSync } from "node:crypto";
import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { readScorebookFile } from "../../../src/belt-test/scorebook/read-scorebook-file.ts";
import { fileBreak } from "../../../src/hub/copies/file-break.ts";
import { hubsCopy } from "../../../src/hub/copies/hubs-copy.ts";
import { FrontDesk } from "../../../src/hub/door/front-desk.ts";
import { HeadSigner, signerOf } from "../../../src/hub/seals/head-signer.ts";
import { canonicalText, entryDigest, FIRST_LINK, nextLink } from "../../../src/hub/store/chain.ts";
import { openStore } from "../../../src/hub/store/open-store.ts";
import { testBooks } from "../../../src/hub/test-room/test-books.ts";
import { aScorebookFile } from "../../command-line/a-scorebook-file.ts";
import { aFolder } from "../../command-line/run.ts";

/** A small test as a hub with a key exports it. */
async function aSignedFile() {
  const { file } = aScorebookFile();
  const opened = await openStore(aFolder(), undefined, testBooks);
  await FrontDesk.open(opened.door, Date.now);
  await opened.store.append(file.grading, file.entries, file.sides);
  const copy = await hubsCopy(opened, file.grading);
  await opened.close();
  return JSON.parse(JSON.stringify(copy));
}

/** Every place in a JSON value, as a path. */
function places(value: unknown, path: (string | number)[] = []): (string | number)[][] {
  if (typeof value !== "object" || value === null) return [path];
  const inner = Object.entries(value).flatMap(([key, one]) =>
    places(one, [...path, Array.isArray(value) ? Number(key) : key]),
  );
  return path.length > 0 ? [path, ...inner] : inner;
}
function changed(json: unknown, path: (string | number)[], to: unknown): unknown {
  const copy = structuredClone(json) as Record<string | number, unknown>;
  let at = copy;
  for (const key of path.slice(0, -1)) at = at[key] as typeof at;
  const last = path.at(-1) ?? "";
  if (to === undefined && Array.isArray(at)) at.splice(Number(last), 1);
  else if (to === undefined) delete at[last];
  else at[last] = to;
  return copy;
}

describe("a file that a hub signed", () => {
  it("[L21] never passes with other entries than the hub signed, whatever is changed or taken out", async () => {
    const file = await aSignedFile();
    const read = (json: unknown) => {
      const its = readScorebookFile(json);
      return its.ok && fileBreak(its.file) === undefined ? its.file : undefined;
    };
    const said = (entries: readonly unknown[]) => entries.map(canonicalText).toSorted();
    const truth = said(file.entries);
    expect(said(read(file)?.entries ?? [])).toEqual(truth);
    const all = places(file).filter(([first]) => first !== "sides");
    let passed = 0;
    fc.assert(
      fc.property(
        fc.nat(all.length - 1),
        fc.oneof(
          fc.constant(undefined),
          fc.nat(all.length - 1).map((other) => ({ other })),
          fc.record({ value: fc.oneof(fc.integer(), fc.string(), fc.constant([])) }),
        ),
        (which, to) => {
          const path = all[which] ?? [];
          const value = !to
            ? undefined
            : "value" in to
              ? to.value
              : (all[to.other] ?? []).reduce((at, key) => at[key], file);
          const its = read(changed(file, path, value));
          // Without its chain it is a file that no hub wrote, and says so.
          if (!its || its.chain.length === 0) return;
          passed++;
          expect(said(its.entries)).toEqual(truth);
        },
      ),
      { numRuns: 1500, seed: 21 },
    );
    // Some changes say the same, such as a key put where it was.
    expect(passed).toBeLessThan(200);
  });

  it("[L21] does not pass with its chain made anew, but under another hub's name", async () => {
    const file = await aSignedFile();
    const [victim] = file.entries;
    victim.at += 1;
    const byId = new Map(file.entries.map((entry: { id: string }) => [entry.id, entry]));
    let link = FIRST_LINK;
    for (const one of file.chain) {
      link = nextLink(link, entryDigest(one.salt, canonicalText(byId.get(one.id))));
      one.link = link;
    }
    const read = () => {
      const its = readScorebookFile(file);
      if (!its.ok) throw new Error(its.problem);
      return its.file;
    };
    expect(fileBreak(read())).toMatchObject({ why: "unsigned" });
    const [head] = file.heads;
    const { privateKey } = generateKeyPairSync("ed25519");
    const forger = new HeadSigner(privateKey.export({ type: "pkcs8", format: "pem" }).toString());
    file.heads = [forger.sign(file.grading, file.chain.length, link)];
    expect(fileBreak(read())).toBeUndefined();
    expect(signerOf(file.heads[0])).not.toBe(signerOf(head));
  });
});
