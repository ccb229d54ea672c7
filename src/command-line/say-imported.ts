import { fold } from "../belt-test/scorebook/scorebook.ts";
import { headApart } from "../hub/copies/file-break.ts";
import { fileRemarks, verdictRemarks } from "./file-remarks.ts";
import { faultInWords, sayTerminal } from "./say-terminal.ts";
import { type Given, isPersons, ownAmong, type Taken } from "./take-file.ts";

/** So many refused entries are named one by one. */
const REFUSED_SHOWN = 20;

/** What became of a file, for a program. */
export function importedJson(
  { file }: Given,
  { added, known, refused, mended, heads }: Taken,
): string {
  const isSigned = !isPersons(file) && file.chain.length > 0;
  const apart = isSigned ? headApart(file) : undefined;
  const verdicts = verdictRemarks(fold(file.entries));
  const left = refused.map(({ id, kind, by, fault: { code } }) => ({ id, kind, by, code }));
  return JSON.stringify({
    grading: file.grading,
    added: added.length,
    known: known.length,
    mended,
    signed: isSigned,
    heads,
    ...(apart && { apart }),
    ...(verdicts.length > 0 && { verdicts }),
    ...(isPersons(file) && { person: file.person, refused: left }),
  });
}

/** The same for whoever sits before the terminal. @param isAlone  no other file was given with it: what rests on one may still come */
export function importedWords({ file }: Given, took: Taken, isAlone: boolean): string[] {
  const { grading, person = "" } = file;
  const { added, known, refused, mended, heads } = took;
  const said = [
    sayTerminal("imported", { grading, added: added.length, known: known.length, mended }),
  ];
  const own = ownAmong(file, refused);
  if (refused.length > 0) {
    const { length: count } = refused;
    const more = Math.max(0, count - REFUSED_SHOWN);
    said.push(sayTerminal("import-refused", { count, person, most: REFUSED_SHOWN, more }));
    const ownFirst = [...own, ...refused.filter((one) => !own.includes(one))];
    for (const { id, kind, by, fault } of ownFirst.slice(0, REFUSED_SHOWN))
      said.push(
        `  ${sayTerminal("import-refused-one", { id, kind, by, sentence: faultInWords(fault) })}`,
      );
  }
  // What the chief's device passed over does not come by and by.
  const waiting = own.filter(({ fault }) => fault.code !== "CHIEF_DID_WITHOUT");
  if (isAlone && took.isFromRoad && waiting.length > 0)
    said.push(sayTerminal("import-once-more", { count: waiting.length }));
  if (mended > 0) said.push(sayTerminal("imported-mended", { count: mended }));
  said.push(...fileRemarks(file), ...verdictRemarks(fold(file.entries)));
  for (const { seq, result } of heads)
    if (result === "rewritten")
      said.push(sayTerminal("verify-kept-rewritten", { test: grading, seq }));
    else if (result === "forged")
      said.push(sayTerminal("verify-head-forged", { test: grading, seq }));
  return said;
}
