import type { ReadScorebook } from "../belt-test/scorebook/read-scorebook-file.ts";
import type { Scorebook } from "../belt-test/scorebook/scorebook.ts";
import { strayMarks } from "../belt-test/scorebook/stray-marks.ts";
import { doubtedVerdicts } from "../belt-test/verdict/verdict-doubt.ts";
import { headApart } from "../hub/copies/file-break.ts";
import { signerOf } from "../hub/seals/head-signer.ts";
import { longDay } from "../words/dates.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";

/** What whoever reads a scorebook file is told of it: who signed it and up to where, or that nobody vouches for it, and names taken out of what a hub signed. */
export function fileRemarks(file: ReadScorebook & { lacking: number; leftOut: number }): string[] {
  const { chain, person, lacking, leftOut } = file;
  const isSigned = chain.length > 0;
  return [
    isSigned ? sayTerminal(...signed(file)) : sayTerminal(...unsigned(person)),
    ...(isSigned && lacking > 0 ? [sayTerminal("imported-lacking", { count: lacking })] : []),
    // A tablet holds names of lines that it was never sent.
    ...(person === undefined && leftOut > 0
      ? [sayTerminal("imported-not-spoken-of", { count: leftOut })]
      : []),
  ];
}

/** A head says after which entry, and the entry when: of what came later an export of that moment knows nothing. */
function signed(file: ReadScorebook): Parameters<typeof sayTerminal> {
  const { chain, entries } = file;
  const { at = 0 } = entries.find(({ id }) => id === chain.at(-1)?.id) ?? {};
  // By no machine's own clock: the file is read elsewhere than it was written.
  const [day = "", time = ""] = new Date(at).toISOString().split("T");
  const end = {
    signer: signerAtEnd(file),
    entries: chain.length,
    day: longDay(day, sayTerminal.locale),
    time: time.slice(0, 5),
  };
  const apart = headApart(file);
  return apart ? [`imported-${apart.why}`, { ...end, seq: apart.seq }] : ["imported-signed", end];
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

/** What of a book's marks belongs nowhere and counts nowhere; a sentence, or none. A hub put back from an older copy takes them again, and what they were given by may be lost. */
export function strayRemarks(book: Scorebook): string[] {
  const strays = strayMarks(book, [...book.entries()]);
  const [first] = strays;
  return first
    ? [sayTerminal("marks-nowhere", { count: strays.length, first: faultInWords(first.fault) })]
    : [];
}

/** A sentence for each verdict of a book that cannot be relied on. */
export const verdictRemarks = (book: Scorebook): string[] =>
  doubtedVerdicts(book).map(({ number = 0, doubt, ...one }) =>
    sayTerminal(`verdict-${doubt}`, { number, ...one }),
  );
