import { rowDot } from "../statistics/row-dot.ts";

type Four = [number, number, number, number];

/** Adds sign · RᵀR to the lower half of `into`, R having rows of this width. Four rows and two places at once: memory, not arithmetic, is slow. */
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
    let i = 0;
    for (; i + 1 < width; i += 2) {
      const [ai, bi, ci, di] = [rows[a + i], rows[b + i], rows[c + i], rows[d + i]] as Four;
      const [aj, bj, cj, dj] = [
        rows[a + i + 1],
        rows[b + i + 1],
        rows[c + i + 1],
        rows[d + i + 1],
      ] as Four;
      const [upper, lower] = [i * width, i * width + width];
      for (let j = 0; j <= i; j++) {
        const ra = rows[a + j] as number;
        const rb = rows[b + j] as number;
        const rc = rows[c + j] as number;
        const rd = rows[d + j] as number;
        const one = ai * ra + bi * rb + ci * rc + di * rd;
        const other = aj * ra + bj * rb + cj * rc + dj * rd;
        into[upper + j] = (into[upper + j] as number) + sign * one;
        into[lower + j] = (into[lower + j] as number) + sign * other;
      }
      const corner = lower + i + 1;
      into[corner] = (into[corner] as number) + sign * (aj * aj + bj * bj + cj * cj + dj * dj);
    }
    if (i < width) {
      const [ai, bi, ci, di] = [rows[a + i], rows[b + i], rows[c + i], rows[d + i]] as Four;
      for (let j = 0; j <= i; j++)
        into[i * width + j] =
          (into[i * width + j] as number) +
          sign *
            (ai * (rows[a + j] as number) +
              bi * (rows[b + j] as number) +
              ci * (rows[c + j] as number) +
              di * (rows[d + j] as number));
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

/** R S for a symmetric S of this width. Three rows of R and two of S at once: six sums and what they need just fit a processor's registers. */
export function timesSymmetric(
  rows: Float64Array,
  count: number,
  symmetric: Float64Array,
  width: number,
): Float64Array {
  const product = new Float64Array(count * width);
  const dot = (r: number, i: number) => {
    product[r * width + i] = rowDot(symmetric, i * width, rows, r * width, width);
  };
  let r = 0;
  for (; r + 2 < count; r += 3) {
    const [a, b, c] = [r * width, (r + 1) * width, (r + 2) * width];
    let i = 0;
    for (; i + 1 < width; i += 2) {
      const [upper, lower] = [i * width, i * width + width];
      let [au, bu, cu, al, bl, cl] = [0, 0, 0, 0, 0, 0];
      for (let j = 0; j < width; j++) {
        const su = symmetric[upper + j] as number;
        const sl = symmetric[lower + j] as number;
        const ra = rows[a + j] as number;
        const rb = rows[b + j] as number;
        const rc = rows[c + j] as number;
        au += su * ra;
        bu += su * rb;
        cu += su * rc;
        al += sl * ra;
        bl += sl * rb;
        cl += sl * rc;
      }
      product[a + i] = au;
      product[b + i] = bu;
      product[c + i] = cu;
      product[a + i + 1] = al;
      product[b + i + 1] = bl;
      product[c + i + 1] = cl;
    }
    if (i < width) for (const row of [r, r + 1, r + 2]) dot(row, i);
  }
  for (; r < count; r++) for (let i = 0; i < width; i++) dot(r, i);
  return product;
}
