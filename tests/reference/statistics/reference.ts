import { readFileSync } from "node:fs";

/** A file of this folder. */
export const reference = <T>(name: string): T =>
  JSON.parse(readFileSync(new URL(name, import.meta.url), "utf8")) as T;

export interface FromR {
  fits: {
    panel: string;
    random: string;
    fixed: string;
    criterion: number;
    components: Record<string, number>;
    intercept: number;
    intercept_se: number;
    first_effect: Record<string, number>;
  }[];
  icc: Record<"value" | "f" | "df1" | "df2" | "p" | "low" | "high", number>[] & { form: string }[];
  friedman: { chi2: number; df: number; p: number };
  kappa: Record<"linear" | "quadratic" | "unweighted", number>;
  f: { above: number; df1: number; df2: number; q: number }[];
  t: { above: number; df: number; q: number }[];
  chi2: { above: number; df: number; q: number }[];
  normal: { above: number; q: number }[];
}
type MarkRow = Record<"candidate" | "judge" | "item" | "criterion", string> & { mark: number };
export interface Panels {
  panels: { name: string; rows: MarkRow[] }[];
}

export function panelRows(name: string): MarkRow[] {
  const found = reference<Panels>("panels.json").panels.find((panel) => panel.name === name);
  if (!found) throw new Error(`no panel ${name}`);
  return found.rows;
}
