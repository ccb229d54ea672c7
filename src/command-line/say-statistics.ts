import statisticsWords from "../words/en/statistics.json" with { type: "json" };
import { type KeyOf, sayIn } from "../words/say.ts";

/** What `agreement` and `statistics` say in a terminal. */
export type StatisticsKey = KeyOf<typeof statisticsWords>;
export const sayStatistics = sayIn(statisticsWords);
