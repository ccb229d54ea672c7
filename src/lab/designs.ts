import { HALF_STEPS, type Instrument, LINE } from "./setting.ts";

/** Who watches whom, and what is odd about the day. */
export interface Design {
  name: string;
  judges: number;
  /** The judges of a candidate, by the candidate's place in the order of the day. */
  watching: (candidate: number) => readonly number[];
  instrument: Instrument;
  /** Share of the cells that each judge marks, by chance. */
  cells: number;
  severitySd: number;
  haloSd: number;
  linesByLevel: boolean;
  /** This judge gives everybody the same mark everywhere. */
  flatJudge: number | null;
  /** Each judge gives this much more, in levels, to own students: every candidate is some judge's student. */
  ownStudent: number;
}

const everybody = (judges: number) => {
  const all = Array.from({ length: judges }, (_, judge) => judge);
  return () => all;
};
const inTurn = (teams: readonly (readonly number[])[]) => (candidate: number) =>
  teams[candidate % teams.length] as readonly number[];
const lineByLine = (teams: readonly (readonly number[])[]) => (candidate: number) =>
  teams[Math.floor(candidate / LINE) % teams.length] as readonly number[];

/** All ten pairs of five, so that each judge meets each; every three of seven from the plane of seven points. */
const pairsOfFive = [1, 2].flatMap((step) =>
  [0, 1, 2, 3, 4].map((judge) => [judge, (judge + step) % 5]),
);
const threesOfSeven = [0, 1, 2, 3, 4, 5, 6].map((judge) =>
  [0, 1, 3].map((step) => (judge + step) % 7),
);
/** Two rings that share nobody; a line keeps its judges. */
const ringsOfFive = [
  [0, 1],
  [2, 3],
  [0, 1],
  [3, 4],
  [0, 1],
  [4, 2],
];
const ringsOfSeven = [
  [0, 1, 2],
  [3, 4, 5],
  [0, 1, 2],
  [4, 5, 6],
  [0, 1, 2],
  [5, 6, 3],
];

const plain = {
  instrument: HALF_STEPS,
  cells: 1,
  severitySd: 0.3,
  haloSd: 0.2,
  linesByLevel: false,
  flatJudge: null,
  ownStudent: 0,
};
const complete = (judges: number): Design => ({
  ...plain,
  name: `complete ${judges}`,
  judges,
  watching: everybody(judges),
});
export const complete3 = complete(3);
export const complete5 = complete(5);
export const rings2of5: Design = {
  ...plain,
  name: "2 of 5, fixed rings",
  judges: 5,
  watching: lineByLine(ringsOfFive),
};
export const rings3of7: Design = {
  ...plain,
  name: "3 of 7, fixed rings",
  judges: 7,
  watching: lineByLine(ringsOfSeven),
};
export const rotation2of5: Design = {
  ...plain,
  name: "2 of 5, rotation",
  judges: 5,
  watching: inTurn(pairsOfFive),
};
export const rotation3of7: Design = {
  ...plain,
  name: "3 of 7, rotation",
  judges: 7,
  watching: inTurn(threesOfSeven),
};
export const mainDesigns = [complete3, complete5, rings2of5, rings3of7, rotation2of5, rotation3of7];

const but = (design: Design, what: string, changes: Partial<Design>): Design => ({
  ...design,
  ...changes,
  name: `${design.name}, ${what}`,
});
const noticing = (design: Design, share: number): Design =>
  but(design, `four levels, noticing ${share}`, {
    instrument: { kind: "four-levels", noticing: share },
  });

/** The same panels on days that are harder or odder. */
export const oddDesigns = [
  but(complete3, "30 % of cells", { cells: 0.3 }),
  but(rotation2of5, "30 % of cells", { cells: 0.3 }),
  but(rotation2of5, "severity .05", { severitySd: 0.05 }),
  but(rotation2of5, "severity .15", { severitySd: 0.15 }),
  but(rotation2of5, "severity .5", { severitySd: 0.5 }),
  but(rotation2of5, "halo doubled", { haloSd: 0.4 }),
  but(rotation2of5, "lines by level", { linesByLevel: true }),
  but(rings2of5, "lines by level", { linesByLevel: true }),
  but(rotation3of7, "lines by level", { linesByLevel: true }),
  but(complete3, "one flat judge", { flatJudge: 0 }),
  but(rotation2of5, "one flat judge", { flatJudge: 0 }),
  but(complete3, "own students +.5", { ownStudent: 0.5 }),
  but(rotation2of5, "own students +.5", { ownStudent: 0.5 }),
];
/** Two rings that share nobody, but for some candidates whom both mark. */
const linked = (each: number, shared: number): Design => {
  const ring = Array.from({ length: each }, (_, judge) => judge);
  const other = ring.map((judge) => judge + each);
  return {
    ...plain,
    name: `two rings of ${each}, ${shared} candidates marked by both`,
    judges: 2 * each,
    watching: (candidate) =>
      candidate % LINE === 0 && candidate / LINE < shared
        ? [...ring, ...other]
        : Math.floor(candidate / LINE) % 2
          ? other
          : ring,
  };
};
export const linkedDesigns = [linked(2, 1), linked(2, 4), linked(3, 1), linked(3, 3)];
export const productDesigns = [complete3, complete5, rotation2of5, rotation3of7].flatMap(
  (design) => [noticing(design, 0.5), noticing(design, 0.8)],
);
