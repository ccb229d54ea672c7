/** How a level is drawn: by how full it is below the standard, and how many rings it wears above. */
export interface LevelShape {
  /** 0 an empty ring, 0.5 half a disc, 1 a whole disc. */
  fill: number;
  rings: number;
}

/**
 * The shape of a level on a scale whose standard is `meetsLevel`: ring, half disc, disc, ringed disc on the usual four.
 * A disc fills from the side of the line as a level nears it; each level above the standard adds a ring.
 *
 * @example
 * levelShape(2, 3); // => { fill: 0.5, rings: 0 }
 * levelShape(4, 3); // => { fill: 1, rings: 1 }
 */
export function levelShape(level: number, meetsLevel: number): LevelShape {
  if (level >= meetsLevel) return { fill: 1, rings: level - meetsLevel };
  return { fill: (level - 1) / (meetsLevel - 1), rings: 0 };
}
