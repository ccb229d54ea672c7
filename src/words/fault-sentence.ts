import type { Fault } from "../book/faults.ts";
import type { Say, Values } from "./say.ts";

/**
 * What a person reads of a fault: what, where, what to do. What its writer did not tell (a file, a line) reads as a question mark, never as a crash.
 */
export function faultSentence<Its extends Fault>(
  { code, with: given = {} }: Its,
  say: Say<`fault.${NoInfer<Its>["code"]}`>,
): string {
  const told: Values = given;
  const values = new Proxy(told, {
    has: () => true,
    get: (_, name) => told[String(name)] ?? "?",
  });
  return say(`fault.${code}`, values);
}
