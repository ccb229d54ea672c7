import { lyingRounds } from "../../world/lying-devices.ts";
import type { PlayedDay } from "../oracle-book.ts";

/** A day with somebody in the hall who lies. What is no JSON goes the way it would go over a line. */
export async function lyingDay(seed: number): Promise<PlayedDay> {
  const { grading, people, rounds } = await lyingRounds(seed);
  return JSON.parse(JSON.stringify({ grading, people, rounds }));
}
