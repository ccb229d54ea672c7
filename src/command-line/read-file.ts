import { readFileSync, statSync } from "node:fs";
import { Trouble } from "./trouble.ts";

/** Larger than any belt test; a file beyond it is a mistake or an attack. */
const LARGEST = 200 * 1024 * 1024;

/** A text file as UTF-8, without the mark that spreadsheets put at its beginning. */
export function readText(file: string): string {
  let bytes: Buffer;
  try {
    if (statSync(file).size > LARGEST) throw new Trouble([{ say: "file-too-large", file }]);
    bytes = readFileSync(file);
  } catch (error) {
    if (error instanceof Trouble) throw error;
    throw new Trouble([{ say: "file-missing", file }]);
  }
  try {
    return new TextDecoder("utf-8", { fatal: true }).decode(bytes);
  } catch {
    throw new Trouble([{ say: "file-not-utf8", file }]);
  }
}

export function readJson(file: string): unknown {
  const text = readText(file);
  try {
    return JSON.parse(text);
  } catch (error) {
    const position = /position (\d+)/.exec(String(error))?.[1];
    const before = position === undefined ? undefined : text.slice(0, Number(position));
    throw new Trouble([
      {
        say: "file-not-json",
        file,
        ...(before === undefined ? {} : { line: before.split("\n").length }),
      },
    ]);
  }
}
