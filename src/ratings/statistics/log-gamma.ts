const G = 607 / 128;
const coefficients = [
  0.9999999999999971, 57.15623566586292, -59.59796035547549, 14.136097974741746,
  -0.4919138160976202, 3.399464998481189e-5, 4.652362892704858e-5, -9.837447530487956e-5,
  0.0001580887032249125, -0.00021026444172410488, 0.00021743961811521265, -0.0001643181065367639,
  8.441822398385275e-5, -2.6190838401581408e-5, 3.6899182659531625e-6,
];

/**
 * Natural logarithm of the gamma function.
 *
 * @param x greater than 0. Relative error about 1e-15; near 1 and 2, where the answer is 0, the error is absolute.
 * @throws RangeError when x is not a finite number above 0.
 * Source: Lanczos 1964, doi:10.1137/0701008, with the coefficients of P. Godfrey (g = 607/128, 15 terms).
 *
 * @example
 * Math.exp(logGamma(5)); // => 24
 */
export function logGamma(x: number): number {
  if (!(x > 0 && x < Infinity)) throw new RangeError(`logGamma: ${x} is not a finite number > 0`);
  let sum = coefficients[0] as number;
  for (let i = 1; i < coefficients.length; i++) sum += (coefficients[i] as number) / (x + i);
  const shifted = x + G + 0.5;
  return (x + 0.5) * Math.log(shifted) - shifted + Math.log((Math.sqrt(2 * Math.PI) * sum) / x);
}
