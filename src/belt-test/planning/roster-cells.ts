/** The longest name a roster may hold, in letters. */
export const LONGEST_NAME = 80;

/**
 * The number a candidate wears, as a cell of a roster says it.
 * @returns undefined for anything but a whole number from 1 to 9999.
 * @example
 * rosterNumber("014"); // => 14
 */
export const rosterNumber = (cell: string): number | undefined => {
  const number = /^\d{1,4}$/.test(cell) ? Number(cell) : 0;
  return number === 0 ? undefined : number;
};

/**
 * A year of birth, as a cell of a roster says it.
 * @param latest  the year of the test: nobody is born later.
 * @returns undefined for anything but four digits from 1900 to `latest`.
 */
export const rosterYear = (cell: string, latest: number): number | undefined => {
  const year = /^\d{4}$/.test(cell) ? Number(cell) : 0;
  return year >= 1900 && year <= latest ? year : undefined;
};
