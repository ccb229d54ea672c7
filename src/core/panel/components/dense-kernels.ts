/** Adds sign · RᵀR to the lower half of `into`, R having rows of this width. Four rows at once: memory, not arithmetic, is slow. */
export function addSquares(
  into: Float64Array,
  width: number,
  rows: Float64Array,
  count: number,
  sign: 1 | -1,
): void {
  let r = 0;
  for (; r + 3 < count; r += 4) {
    const [a, b, c, d] = [r * width, (r + 1) * width, (r + 2) * width, (r + 3) * width];
    for (let i = 0; i < width; i++) {
      const ai = sign * (rows[a + i] as number);
      const bi = sign * (rows[b + i] as number);
      const ci = sign * (rows[c + i] as number);
      const di = sign * (rows[d + i] as number);
      if (ai === 0 && bi === 0 && ci === 0 && di === 0) continue;
      const base = i * width;
      for (let j = 0; j <= i; j++)
        into[base + j] =
          (into[base + j] as number) +
          ai * (rows[a + j] as number) +
          bi * (rows[b + j] as number) +
          ci * (rows[c + j] as number) +
          di * (rows[d + j] as number);
    }
  }
  for (; r < count; r++)
    for (let i = 0; i < width; i++) {
      const value = sign * (rows[r * width + i] as number);
      if (value === 0) continue;
      for (let j = 0; j <= i; j++)
        into[i * width + j] =
          (into[i * width + j] as number) + value * (rows[r * width + j] as number);
    }
}

/** R S for a symmetric S of this width. Four rows of R at once. */
export function timesSymmetric(
  rows: Float64Array,
  count: number,
  symmetric: Float64Array,
  width: number,
): Float64Array {
  const product = new Float64Array(count * width);
  let r = 0;
  for (; r + 3 < count; r += 4) {
    const [a, b, c, d] = [r * width, (r + 1) * width, (r + 2) * width, (r + 3) * width];
    for (let i = 0; i < width; i++) {
      const base = i * width;
      let [as, bs, cs, ds] = [0, 0, 0, 0];
      for (let j = 0; j < width; j++) {
        const s = symmetric[base + j] as number;
        as += s * (rows[a + j] as number);
        bs += s * (rows[b + j] as number);
        cs += s * (rows[c + j] as number);
        ds += s * (rows[d + j] as number);
      }
      product[a + i] = as;
      product[b + i] = bs;
      product[c + i] = cs;
      product[d + i] = ds;
    }
  }
  for (; r < count; r++)
    for (let i = 0; i < width; i++) {
      let sum = 0;
      for (let j = 0; j < width; j++)
        sum += (symmetric[i * width + j] as number) * (rows[r * width + j] as number);
      product[r * width + i] = sum;
    }
  return product;
}
