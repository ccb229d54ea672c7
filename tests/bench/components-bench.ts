import { spawnSync } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chance } from "../../src/demo/chance.ts";
import { reml } from "../../src/ratings/components/reml.ts";
import type { MarkColumns } from "../../src/ratings/components/term.ts";
import { type Measured, median } from "./measure.ts";

const R = "Rscript";
const ROUNDS = 5;
/** Fits to a round: one takes no longer than the clock of a shared processor wobbles. */
const FITS = 8;
/** `cpuMs`: what somebody measured of lme4 at this size on another machine, noted in the project's goals; shown where R is not installed. */
const MODELS = [
  {
    name: "candidate, judge, item × criterion, candidate × judge",
    terms: "candidate,judge,item:criterion,candidate:judge",
    cpuMs: 8_200,
    times: 200,
    isPeerQuick: true,
  },
  {
    name: "all two-way terms",
    terms:
      "candidate,judge,item,criterion,candidate:judge,candidate:item,candidate:criterion,judge:item,judge:criterion,item:criterion",
    cpuMs: 91_000,
    times: 50,
    isPeerQuick: false,
  },
];

/** 100 candidates × 5 judges × 25 items × 5 criteria, 3 in 100 missing, whole levels from 0 to 4; every two-way effect is there. */
function marksOfM(): MarkColumns {
  const { share, around } = chance(5);
  const size = { candidate: 100, judge: 5, item: 25, criterion: 5 };
  const drawn = (levels: number, sd: number) => Array.from({ length: levels }, () => around(sd));
  const effects: [number[], (c: number, j: number, i: number, t: number) => number][] = [
    [drawn(100, 0.6), (c) => c],
    [drawn(5, 0.3), (_, j) => j],
    [drawn(125, 0.36), (_, __, i, t) => i * 5 + t],
    [drawn(500, 0.2), (c, j) => c * 5 + j],
    [drawn(2500, 0.15), (c, _, i) => c * 25 + i],
    [drawn(500, 0.2), (c, _, __, t) => c * 5 + t],
    [drawn(25, 0.15), (_, j, __, t) => j * 5 + t],
    [drawn(125, 0.1), (_, j, i) => j * 25 + i],
  ];
  const marks: number[] = [];
  const codes: [number[], number[], number[], number[]] = [[], [], [], []];
  for (let c = 0; c < size.candidate; c++)
    for (let i = 0; i < size.item; i++)
      for (let t = 0; t < size.criterion; t++)
        for (let j = 0; j < size.judge; j++) {
          if (share() < 0.03) continue;
          let mark = 2.5 + around(0.5);
          for (const [values, at] of effects) mark += values[at(c, j, i, t)] as number;
          marks.push(Math.min(4, Math.max(0, Math.round(mark))));
          for (const [f, code] of [c, j, i, t].entries()) codes[f]?.push(code);
        }
  return {
    marks: Float64Array.from(marks),
    factors: new Map(
      Object.entries(size).map(([name, levels], f) => [
        name,
        { levels, codes: Int32Array.from(codes[f] ?? []) },
      ]),
    ),
  };
}

/** Variance components with missing marks beside lme4 on the same marks: CPU time, once compiled. */
export function benchComponents(): Measured[] {
  const columns = marksOfM();
  const folder = mkdtempSync(join(tmpdir(), "evenhand-bench-"));
  try {
    const file = join(folder, "marks.csv");
    writeFileSync(file, csvOf(columns));
    return MODELS.flatMap((model) => besideLme4(columns, file, model));
  } finally {
    rmSync(folder, { recursive: true });
  }
}

function besideLme4(columns: MarkColumns, file: string, model: (typeof MODELS)[number]) {
  const effects = model.terms.split(",").map((name) => name.split(":"));
  const fitted = () => {
    const fit = reml(columns, effects, []);
    if ("reason" in fit) throw new Error(`benchComponents: ${fit.reason}`);
    return fit;
  };
  // Minutes of somebody's processor are not spent unasked.
  const isAsked = model.isPeerQuick || process.env.LONG_PEERS === "1";
  const fits = model.isPeerQuick ? FITS : 1;
  const cold = cpuMs(fitted);
  for (let i = 0; i < 2 * fits; i++) fitted();
  const ours: number[] = [];
  const theirs: Peer[] = [];
  for (let round = 0; round < ROUNDS; round++) {
    const peer = isAsked && (model.isPeerQuick || round === 0) ? lme4(file, model.terms) : null;
    if (peer) theirs.push(peer);
    const all = cpuMs(() => {
      for (let i = 0; i < fits; i++) fitted();
    });
    ours.push(all / fits);
  }
  const ms = median(ours);
  const peerMs = theirs.length > 0 ? median(theirs.map((peer) => peer.cpuMs)) : model.cpuMs;
  const origin =
    theirs.length > 0
      ? `lme4 ${(peerMs / 1000).toFixed(1)} s in this run, median of ${theirs.length}`
      : `lme4 ${peerMs / 1000} s on another machine, noted elsewhere; peer ${isAsked ? "not installed" : "run only with LONG_PEERS=1"} here`;
  const rows: Measured[] = [
    {
      what: `M, REML: ${model.name}`,
      value: ms,
      unit: "ms",
      goal: Number((peerMs / model.times).toFixed(1)),
      how: `CPU, median of ${ROUNDS}; ${(peerMs / ms).toFixed(0)} times as fast as ${origin}`,
    },
    { what: "  the same, first fit of this model", value: cold, unit: "ms", how: "CPU, once" },
  ];
  const [peer] = theirs;
  if (peer) {
    const { components, residual } = fitted();
    const its = [...components.map(({ variance }) => variance), residual.variance];
    const total = its.reduce((sum, variance) => sum + variance, 0);
    const apart = its.map((one, k) => Math.abs(one - (peer.variances[k] ?? Number.NaN)) / total);
    rows.push({
      what: "  furthest component from lme4's",
      value: 100 * Math.max(...apart),
      unit: "%",
      goal: 0.1,
      how: "of the total variance",
    });
  }
  return rows;
}

interface Peer {
  cpuMs: number;
  variances: number[];
}
/** `null` where R or lme4 is not installed. */
function lme4(file: string, terms: string): Peer | null {
  const script = join(import.meta.dirname, "lme4.R");
  const { status, stdout } = spawnSync(R, [script, file, terms], { encoding: "utf8" });
  if (status !== 0) return null;
  const [seconds = Number.NaN, ...variances] = stdout.trim().split(/\s+/).map(Number);
  return { cpuMs: 1000 * seconds, variances };
}

const csvOf = ({ marks, factors }: MarkColumns): string =>
  [
    [...factors.keys(), "mark"].join(),
    ...Array.from(marks, (mark, i) =>
      [...[...factors.values()].map(({ codes }) => codes[i]), mark].join(),
    ),
  ].join("\n");

/** Milliseconds of processor time, the collector's and the compiler's threads included. */
function cpuMs(work: () => unknown): number {
  const before = process.cpuUsage();
  work();
  const { user, system } = process.cpuUsage(before);
  return (user + system) / 1000;
}
