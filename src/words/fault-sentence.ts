import type { Fault } from "../book/faults.ts";
import type faultsWords from "./en/faults.json";
import type { SayOf, Values } from "./say.ts";

/**
 * What a person reads of a fault: what, where, what to do. What its writer did not tell (a file, a line) reads as a question mark, never as a crash.
 */
export function faultSentence(
  { code, with: given = {} }: Fault,
  say: SayOf<typeof faultsWords>,
): string {
  const told: Values = given;
  const values = new Proxy(told, {
    has: () => true,
    get: (_, name) => told[String(name)] ?? "?",
  });
  return say(`fault.${code}`, values);
}
