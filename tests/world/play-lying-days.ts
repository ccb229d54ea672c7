import { playLyingDay } from "./lying-devices.ts";

/** What came of so many days with a liar in the hall. */
export interface PlayedLyingDays {
  days: number;
  /** Seeds whose day broke a promise; each is played again, exactly, by `npm run soak -- liars --seed N --days 1`. */
  failed: number[];
  daysASecond: number;
  entries: number;
  /** Handed in by liars, and how many of that were taken. */
  lies: number;
  liesTaken: number;
  /** Days on which everything was opened before the closing, or by it. */
  allOpen: number;
  liars: Record<string, number>;
  /** Why something of a liar's was refused. */
  refused: Record<string, number>;
}

/** Plays one day after the other, from the first seed on. */
export async function playLyingDays(
  { days, first }: { days: number; first: number },
  say: (days: number) => void = () => undefined,
  tell: (line: string) => void = console.log,
): Promise<PlayedLyingDays> {
  const begun = performance.now();
  const played: PlayedLyingDays = {
    days,
    failed: [],
    daysASecond: 0,
    entries: 0,
    lies: 0,
    liesTaken: 0,
    allOpen: 0,
    liars: {},
    refused: {},
  };
  for (let seed = first; seed < first + days; seed++) {
    const day = await playLyingDay(seed);
    played.entries += day.entries;
    played.lies += day.lies;
    played.liesTaken += day.liesTaken;
    played.allOpen += Number(day.isAllOpen);
    played.liars[day.liar] = (played.liars[day.liar] ?? 0) + 1;
    for (const [code, count] of day.refusedLies)
      played.refused[code] = (played.refused[code] ?? 0) + count;
    if (day.broken.length > 0) {
      played.failed.push(seed);
      tell(`seed ${seed}, a ${day.liar} lies:\n  ${day.broken.join("\n  ")}`);
      tell(`  again: npm run soak -- liars --seed ${seed} --days 1`);
    }
    say(seed - first + 1);
  }
  played.daysASecond = (days / (performance.now() - begun)) * 1000;
  return played;
}
