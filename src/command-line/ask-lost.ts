import { createInterface } from "node:readline/promises";
import { chiefDevices } from "../hub/door/chief-devices.ts";
import type { FrontDesk } from "../hub/door/front-desk.ts";
import hubWords from "../words/en/hub.json" with { type: "json" };
import { sayIn } from "../words/say.ts";
import { deviceLines } from "./device-lines.ts";

const say = sayIn(hubWords);

/**
 * With a new key: whether an earlier device is lost. On yes every other chief's device is ended, at once and for good.
 * Asked where somebody can answer; elsewhere `isLost` is the answer, and what stays chief is said.
 */
export async function endLost(
  desk: FrontDesk,
  { isLost, mayAsk }: { isLost: boolean; mayAsk: boolean },
): Promise<void> {
  const devices = await chiefDevices(desk.tables);
  if (devices.length === 0) return;
  const list = deviceLines(devices).join("\n");
  if (!isLost && !mayAsk) return console.error(say("key-others-stay", { list }));
  if (!isLost && !(await saysYes(say("key-ask-lost", { list })))) return;
  for (const { id } of devices) await desk.endToken(id);
  console.error(say("key-others-ended", { count: devices.length }));
}

async function saysYes(question: string): Promise<boolean> {
  const terminal = createInterface({ input: process.stdin, output: process.stderr });
  try {
    return /^\s*y(es)?\s*$/i.test(await terminal.question(`\n${question} `));
  } finally {
    terminal.close();
  }
}
