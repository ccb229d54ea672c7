import { playDay } from "./day.ts";

/** What came of so many simulated test days. */
export interface PlayedDays {
  days: number;
  /** Seeds whose day broke a promise; each is played again, exactly, by `npm run soak -- days --seed N --days 1`. */
  failed: number[];
  daysASecond: number;
  entries: number;
  /** Sent by the hub. */
  frames: number;
  refused: number;
  /** Days that came to their closing. */
  closed: number;
  troubles: Record<string, number>;
}

/** Plays one day after the other, from the first seed on. */
export async function playDays(
  { days, first }: { days: number; first: number },
  say: (days: number) => void = () => undefined,
  tell: (line: string) => void = console.log,
): Promise<PlayedDays> {
  const begun = performance.now();
  const played: PlayedDays = {
    days,
    failed: [],
    daysASecond: 0,
    entries: 0,
    frames: 0,
    refused: 0,
    closed: 0,
    troubles: {},
  };
  for (let seed = first; seed < first + days; seed++) {
    const day = await playDay(seed);
    played.entries += day.entries;
    played.frames += day.frames;
    played.refused += day.refused;
    played.closed += Number(day.isClosed);
    for (const [name, count] of day.troubles)
      played.troubles[name] = (played.troubles[name] ?? 0) + count;
    if (day.broken.length > 0) {
      played.failed.push(seed);
      tell(`seed ${seed}:\n  ${day.broken.join("\n  ")}`);
      tell(`  again: npm run soak -- days --seed ${seed} --days 1`);
    }
    say(seed - first + 1);
  }
  played.daysASecond = (days / (performance.now() - begun)) * 1000;
  return played;
}
