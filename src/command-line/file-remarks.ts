import type { ReadScorebook } from "../belt-test/scorebook/read-scorebook-file.ts";
import type { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { doubtedVerdicts } from "../belt-test/verdict/verdict-doubt.ts";
import { signerOf } from "../hub/seals/head-signer.ts";
import { sayTerminal } from "./say-terminal.ts";

/** What whoever reads a scorebook file is told of it: who signed it, or that nobody vouches for it, and names taken out of what a hub signed. */
export function fileRemarks({
  chain,
  heads,
  person,
  lacking,
}: Pick<ReadScorebook, "chain" | "heads" | "person"> & { lacking: number }): string[] {
  const isSigned = chain.length > 0;
  return [
    isSigned
      ? sayTerminal("imported-signed", { signer: signerAtEnd({ heads, chain }) })
      : sayTerminal(...unsigned(person)),
    ...(isSigned && lacking > 0 ? [sayTerminal("imported-lacking", { count: lacking })] : []),
  ];
}

/** What a tablet saved is what it held; of a hub's copy without its chain nobody can say even that. */
const unsigned = (person: string | undefined): Parameters<typeof sayTerminal> =>
  person === undefined ? ["imported-unsigned"] : ["file-of-one-tablet", { person }];

/** What the hub is known by that signed the end of the file's chain; empty where none did. */
export function signerAtEnd({ heads, chain }: Pick<ReadScorebook, "heads" | "chain">): string {
  const head = heads.find(
    ({ seq, chain: link }) => seq === chain.length && link === chain.at(-1)?.link,
  );
  return (head && signerOf(head)) ?? "";
}

/** A sentence for each verdict of a book that cannot be relied on. */
export const verdictRemarks = (book: Scorebook): string[] =>
  doubtedVerdicts(book).map(({ number = 0, doubt, ...one }) =>
    sayTerminal(`verdict-${doubt}`, { number, ...one }),
  );
