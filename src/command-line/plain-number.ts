const SMALLEST = 1e-40;
const LARGEST = 1e40;

/** A cell as a number: digits, perhaps a sign, a decimal point, an exponent. Nothing else: no “NaN”, no “Infinity”, no “0x10”. */
export function plainNumber(cell: string): number | null {
  if (!/^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d{1,3})?$/i.test(cell)) return null;
  const number = Number(cell);
  const size = Math.abs(number);
  // Outside, what is squared and squared again is no number any more; nobody marks or measures there.
  return size === 0 || (size >= SMALLEST && size <= LARGEST) ? number : null;
}
