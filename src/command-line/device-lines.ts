import type { AdmittedChief } from "../hub/door/chief-devices.ts";
import { clockTime, dayAt } from "../words/dates.ts";
import { sayTerminal } from "./say-terminal.ts";

/** As much of an id as a person types. */
const SHOWN = 10;

/** A line for each device on which somebody is chief: what `--end` is given, since when, and of what. */
export const deviceLines = (devices: readonly AdmittedChief[]): string[] =>
  devices.map(({ id, sinceMs, isHubs, in: where }) =>
    sayTerminal(isHubs ? "devices-hubs" : "devices-guest", {
      id: id.slice(0, SHOWN),
      day: dayAt(sinceMs, sayTerminal.locale),
      time: clockTime(sinceMs, sayTerminal.locale),
      tests: where.length,
      name: where.flatMap(({ name }) => (name ? [` (${name})`] : []))[0] ?? "",
    }),
  );
