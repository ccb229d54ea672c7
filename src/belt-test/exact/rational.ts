/** A fraction that loses nothing: `n`/`d`, in lowest terms, `d` above 0. */
export interface Rational {
  readonly n: bigint;
  readonly d: bigint;
}

/**
 * The fraction n/d in lowest terms.
 * @throws RangeError if `d` is 0.
 * @example
 * rational(6n, -4n); // => { n: -3n, d: 2n }
 */
export function rational(n: bigint, d = 1n): Rational {
  if (d === 0n) throw new RangeError(`rational: ${n}/0 is no number`);
  const sign = d < 0n ? -1n : 1n;
  const divisor = greatestCommonDivisor(n < 0n ? -n : n, d * sign) * sign;
  return { n: n / divisor, d: d / divisor };
}

/**
 * The decimal a person wrote, exactly: 33.3 is 333/10, although no binary number is.
 * A number is read as its shortest decimal writing, which is what stood in the file.
 *
 * @throws RangeError if it is not a finite number.
 * @example
 * fromDecimal(33.3); // => { n: 333n, d: 10n }
 * fromDecimal(0.1 + 0.2); // => { n: 7500000000000001n, d: 25000000000000000n }
 */
export function fromDecimal(decimal: number): Rational {
  const parts = /^(-?)(\d+)(?:\.(\d+))?(?:e([+-]\d+))?$/.exec(String(decimal));
  if (!parts) throw new RangeError(`fromDecimal: ${decimal} is not a finite number`);
  const [, minus, whole = "0", tail = "", exponent = "0"] = parts;
  const digits = BigInt(whole + tail) * (minus ? -1n : 1n);
  const places = tail.length - Number(exponent);
  return places >= 0
    ? rational(digits, 10n ** BigInt(places))
    : rational(digits * 10n ** BigInt(-places));
}

export const plus = (a: Rational, b: Rational): Rational =>
  rational(a.n * b.d + b.n * a.d, a.d * b.d);
export const minus = (a: Rational, b: Rational): Rational =>
  rational(a.n * b.d - b.n * a.d, a.d * b.d);
export const times = (a: Rational, b: Rational): Rational => rational(a.n * b.n, a.d * b.d);
export const over = (a: Rational, b: Rational): Rational => rational(a.n * b.d, a.d * b.n);

/** Negative when a < b, 0 when equal, positive when a > b. */
export function compared(a: Rational, b: Rational): number {
  const difference = a.n * b.d - b.n * a.d;
  return difference < 0n ? -1 : difference > 0n ? 1 : 0;
}

/** Near enough for the eye; nothing is decided with it. */
export const toNumber = ({ n, d }: Rational): number => {
  const whole = n / d;
  // Whole part and rest apart: both fit a double even where n and d alone do not.
  return Number(whole) + Number(((n - whole * d) * 10n ** 17n) / d) / 1e17;
};

/** "3" or "8/3". */
export const asText = ({ n, d }: Rational): string => (d === 1n ? `${n}` : `${n}/${d}`);

export function greatestCommonDivisor(a: bigint, b: bigint): bigint {
  let [x, y] = [a, b];
  while (y) [x, y] = [y, x % y];
  return x || 1n;
}
