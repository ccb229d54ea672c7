import { readCsv, shown } from "./read-csv.ts";
import { type Complaint, Trouble } from "./trouble.ts";

export interface Rostered {
  candidate: string;
  name: string;
  number: number | undefined;
  /** Empty: whichever applies. */
  rubric: string;
  line: number;
}

/** Who is who: `candidate[,given,family,number,rubric,birth-year]`. @throws Trouble with every bad line. */
export function readRoster(file: string): Map<string, Rostered> {
  const rows = readCsv(
    file,
    ["candidate"],
    ["given", "family", "number", "rubric", "birth-year", "sounds"],
  );
  const found = new Map<string, Rostered>();
  const complaints: Complaint[] = [];
  for (const { line, cells } of rows) {
    const { candidate, given, family, number, rubric } = cells;
    const before = found.get(candidate);
    if (candidate === "") complaints.push({ say: "roster-candidate-missing", file, line });
    else if (before)
      complaints.push({
        say: "roster-candidate-twice",
        file,
        line,
        with: { candidate: shown(candidate), other: before.line },
      });
    else if (number !== "" && !/^[1-9]\d{0,3}$/.test(number))
      complaints.push({ say: "roster-number", file, line, with: { number: shown(number) } });
    else
      found.set(candidate, {
        candidate,
        name: [given, family].filter((part) => part !== "").join(" "),
        number: number === "" ? undefined : Number(number),
        rubric,
        line,
      });
  }
  if (complaints.length > 0) throw new Trouble(complaints);
  return found;
}
