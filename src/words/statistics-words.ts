import english from "./en/statistics.json" with { type: "json" };
import { sayIn, wordArea } from "./say.ts";

/** What `agreement` and `statistics` say in a terminal. */
const statisticsWords = wordArea("statistics", english);
export type StatisticsKey = keyof typeof english;

export const sayStatistics = sayIn(statisticsWords);
