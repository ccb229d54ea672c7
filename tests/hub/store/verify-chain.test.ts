import { describe, expect, it } from "vitest";
import { entryDigest, FIRST_LINK, nextLink } from "../../../src/hub/store/chain.ts";
import { soundLines } from "../../../src/hub/store/sound-lines.ts";
import { type ChainRow, verifyChain } from "../../../src/hub/store/verify-chain.ts";
import { aGradingId } from "../../builders/a-pen.ts";
import { aTestDay } from "../../builders/a-test-day.ts";

const { plan } = aTestDay();
const salt = "0".repeat(32);

/** A chain reckoned anew over these texts, as somebody could who has the file in hand. */
function chained(bodies: readonly string[]): ChainRow[] {
  let link = FIRST_LINK;
  return bodies.map((body, at) => {
    const { id, device, n } = plan[at] as never as ChainRow;
    const digest = entryDigest(salt, body);
    link = nextLink(link, digest);
    return { seq: at + 1, id, device, n, body, salt, digest, chain: link };
  });
}
const bodies = () => plan.map((entry) => JSON.stringify(entry));
/** The third line with something else in it. */
const withThird = (change: (body: string) => string) =>
  chained(bodies().map((body, at) => (at === 2 ? change(body) : body)));

describe("a chain that was reckoned anew", () => {
  it("[L136] is sound where its lines could have been written", () => {
    expect(verifyChain(chained(bodies())).broken).toBeNull();
  });
  it.each([
    ["thousands deep", `${"[".repeat(9_000)}${"]".repeat(9_000)}`],
    ["a number beyond a double", "1e400"],
    ["the key __proto__", '{"__proto__":{}}'],
  ])("[L136] breaks where a line is nothing that anybody could have handed in: %s", (_, text) => {
    const rows = withThird((body) => body.replace('"body":{', `"body":{"zz":${text},`));
    expect(verifyChain(rows).broken).toMatchObject({ seq: 3, why: "unsaid" });
    // A hub that finds it reads what stands before it, and names it: it is never sent on.
    expect(soundLines(aGradingId, 0, undefined, rows)).toHaveLength(2);
    expect(() => soundLines(aGradingId, 2, rows[1]?.chain, rows.slice(2))).toThrow("TEST_DAMAGED");
  });
  it("[L136] is sound with half a letter in it, which hubs of before wrote down", () => {
    const rows = withThird((body) => body.replace('"body":{', '"body":{"zz":"\\ud800",'));
    expect(verifyChain(rows).broken).toBeNull();
  });
  it("[L81] breaks where a logical time leaves nobody any room after it", () => {
    const rows = withThird((body) => body.replace(/"lamport":\d+/, `"lamport":${2 ** 48}`));
    expect(verifyChain(rows).broken).toMatchObject({ seq: 3, why: "ahead" });
  });
});
