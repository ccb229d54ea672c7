import type { Fault } from "../book/faults.ts";
import english from "./en/faults.json" with { type: "json" };
import { type Say, sayIn, type Values, wordArea } from "./say.ts";

/** A plain sentence for every code in book/faults.ts: what, where, what to do. */
export const faultsWords = wordArea("faults", english);

const sayEnglish = sayIn(faultsWords);

/**
 * What a person reads of a fault. What its writer did not tell (a file, a line) reads as a question mark, never as a crash.
 */
export function faultSentence(
  { code, with: given = {} }: Fault,
  say: Say<keyof typeof english> = sayEnglish,
): string {
  const told: Values = given;
  const values = new Proxy(told, {
    has: () => true,
    get: (_, name) => told[String(name)] ?? "?",
  });
  return say(`fault.${code}`, values);
}
