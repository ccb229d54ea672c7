import { readFileSync } from "node:fs";
import * as z from "zod/mini";
import { SignedHead } from "../book/signed-head.ts";
import { Trouble } from "./trouble.ts";

/** What a scorebook file that a tablet or a hub saved holds of a hub's record. @throws Trouble where it holds nothing of it. */
export function headsIn(file: string): SignedHead[] {
  let json: unknown;
  try {
    json = JSON.parse(readFileSync(file, "utf8"));
  } catch {
    throw new Trouble([{ say: "verify-heads-file", file }]);
  }
  const read = z.object({ heads: z.array(SignedHead) }).safeParse(json);
  if (!read.success || read.data.heads.length === 0)
    throw new Trouble([{ say: "verify-heads-none", file }]);
  return read.data.heads;
}
