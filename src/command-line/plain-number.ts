/** A cell as a number: digits, perhaps a sign, a decimal point, an exponent. Nothing else: no “NaN”, no “Infinity”, no “0x10”. */
export function plainNumber(cell: string): number | null {
  if (!/^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d{1,3})?$/i.test(cell)) return null;
  const number = Number(cell);
  // Larger ones would overflow when squared.
  return Math.abs(number) < 1e140 ? number : null;
}
