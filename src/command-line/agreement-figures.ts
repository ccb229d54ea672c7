import { fleissKappa } from "../ratings/agreement/fleiss-kappa.ts";
import { type IccFigure, iccForms, intraclass } from "../ratings/agreement/intraclass.ts";
import { kendallW } from "../ratings/agreement/kendall-w.ts";
import { alphaInterval, alphaMetrics, krippendorff } from "../ratings/agreement/krippendorff.ts";
import { completeRows, isUnsupported } from "../ratings/agreement/panel-table.ts";
import { sameMarks } from "../ratings/agreement/same-marks.ts";
import { anovaComponents } from "../ratings/components/anova-components.ts";
import { reliability } from "../ratings/components/reliability.ts";
import { type NoFit, reml } from "../ratings/components/reml.ts";
import { termOf } from "../ratings/components/term.ts";
import { bestFit } from "../ratings/severity/best-fit.ts";
import type { PanelMarks } from "./read-panel.ts";
import { type StatisticsKey, sayStatistics } from "./say-statistics.ts";

/** What `agreement` answers; its JSON form. Where a figure is null, `reason` beside it says why. */
export type AgreementFigures = ReturnType<typeof agreementFigures>;

const because = (reason: string, terms: readonly string[] = []): string =>
  sayStatistics(`reason-${reason}` as StatisticsKey, { terms: terms.join(", ") });

export function agreementFigures(
  panel: PanelMarks,
  { random, fixed, seed }: { random: readonly string[]; fixed: readonly string[]; seed: number },
) {
  const { table, columns, judges } = panel;
  const complete = completeRows(table);
  const fit = fitOf(panel, random, fixed);
  const trust =
    "reason" in fit.found
      ? null
      : reliability(
          columns,
          fit.found.components,
          fit.found.residual.variance,
          fixed,
          Math.max(7, judges.length + 2),
        );
  return {
    marks: columns.marks.length,
    judges: judges.length,

    performances: {
      of: panel.performanceOf,
      total: table.length,
      complete: complete.rows.length,
      leftOut: complete.leftOut,
    },
    icc: icc(panel),
    krippendorff: alphas(panel, seed),
    kendallW: concordance(panel),
    fleissKappa: kappa(panel),
    sameMarks: same(panel),
    ...fit.json,
    reliability: trust ?? {
      g: null,
      phi: null,
      sem: null,
      dStudy: null,
      reason: fit.json.reason ?? because("candidate-not-random"),
    },
    ...severities(panel),
  };
}

function icc({ table, judges }: PanelMarks) {
  const found = intraclass(table);
  const none = isUnsupported(found)
    ? {
        value: null,
        f: null,
        df1: null,
        df2: null,
        p: null,
        low: null,
        high: null,
        k: judges.length,
        n: null,
      }
    : null;
  return Object.fromEntries(
    iccForms.map((form) => {
      if (isUnsupported(found)) return [form, { ...none, reason: because(found.reason) }];
      const { reason, ...figure }: IccFigure = found.forms[form];
      return [
        form,
        { ...figure, k: found.k, n: found.n, ...(reason ? { reason: because(reason) } : {}) },
      ];
    }),
  ) as Record<
    (typeof iccForms)[number],
    Omit<IccFigure, "df1" | "df2" | "reason"> & {
      df1: number | null;
      df2: number | null;
      k: number;
      n: number | null;
      reason?: string;
    }
  >;
}

function alphas({ table }: PanelMarks, seed: number) {
  const values: Record<string, number | null> = {};
  const intervals: Record<string, { low: number; high: number; level: number } | null> = {};
  const reasons: Record<string, string> = {};
  // A thousand draws of a large test take long and tell no more.
  const draws = table.length > 3000 ? 200 : 1000;
  for (const metric of alphaMetrics) {
    const found = krippendorff(table, metric);
    values[metric] = isUnsupported(found) ? null : found.value;
    if (isUnsupported(found)) reasons[metric] = because(found.reason);
    const interval = alphaInterval(table, metric, { seed, draws });
    intervals[metric] = isUnsupported(interval) ? null : interval;
  }
  return {
    ...(values as Record<(typeof alphaMetrics)[number], number | null>),
    intervals,
    ...(Object.keys(reasons).length > 0 ? { reasons } : {}),
  };
}

function concordance({ table }: PanelMarks) {
  const found = kendallW(table);
  return isUnsupported(found)
    ? { w: null, chi2: null, df: null, p: null, reason: because(found.reason) }
    : found;
}

function kappa({ table }: PanelMarks) {
  const found = fleissKappa(table);
  return isUnsupported(found)
    ? { kappa: null, z: null, p: null, reason: because(found.reason) }
    : found;
}

function same({ table }: PanelMarks) {
  const found = sameMarks(table);
  return isUnsupported(found)
    ? { exact: null, adjacent: null, pairs: 0, reason: because(found.reason) }
    : found;
}

/** REML of the effects that were asked for, or of those that the file has. */
function fitOf(panel: PanelMarks, random: readonly string[], fixed: readonly string[]) {
  const { columns } = panel;
  const all = [...columns.factors].filter(([name]) => !fixed.includes(name));
  const names =
    random.length > 0
      ? random
      : all.filter(([, factor]) => factor.levels > 1).map(([name]) => name);
  const effects = names.map((name) => name.split(":"));
  const asked: readonly string[] = random.length > 0 ? random : all.map(([name]) => name);
  const found: ReturnType<typeof reml> =
    columns.marks.length === 0
      ? { reason: "no-marks", terms: [] }
      : effects.length === 0
        ? { reason: "one-level", terms: [...asked] }
        : reml(
            columns,
            effects,
            fixed.map((name) => name.split(":")),
          );
  const nothing: Record<string, number | null> = Object.fromEntries(
    asked.map((name) => [name, null]),
  );
  if ("reason" in found) {
    const reason = because(found.reason, (found as NoFit).terms);
    return {
      found,
      json: {
        components: { ...nothing, residual: null } as Record<string, number | null>,
        componentErrors: null,
        componentsAnova: null,
        remlCriterion: null,
        reason,
      },
    };
  }
  const anova =
    fixed.length > 0
      ? null
      : anovaComponents(
          columns.marks,
          effects.map((effect) => termOf(effect, columns)),
        );
  return {
    found,
    json: {
      components: {
        ...nothing,
        ...Object.fromEntries(found.components.map(({ name, variance }) => [name, variance])),
        residual: found.residual.variance,
      } as Record<string, number | null>,
      componentErrors: {
        ...Object.fromEntries(found.components.map(({ name, se }) => [name, se])),
        residual: found.residual.se,
      } as Record<string, number | null>,
      componentsAnova: anova && {
        ...Object.fromEntries(names.map((name, k) => [name, anova.variances[k] ?? null])),
        residual: anova.residual,
      },
      remlCriterion: found.criterion,
      reason: undefined,
    },
  };
}

function severities({ columns, judges, candidates }: PanelMarks) {
  const found = columns.marks.length === 0 ? ({ reason: "no-marks" } as const) : bestFit(columns);
  const reason = "reason" in found ? because(found.reason, judges) : undefined;
  const raw = rawMeans(columns, candidates.length);
  return {
    severity: judges.map((judge, j) => {
      if ("reason" in found) return { judge, estimate: null, se: null, reason };
      const one = found.severity[j];
      const isFound = one?.se != null;
      return {
        judge,
        estimate: one?.estimate ?? null,
        se: one?.se ?? null,
        ...(isFound ? {} : { reason: because("no-severity") }),
      };
    }),
    candidates: candidates.map((candidate, c) => {
      const rawMean = raw[c] ?? null;
      if ("reason" in found) return { candidate, raw: rawMean, adjusted: null, se: null, reason };
      const one = found.candidates[c];
      return { candidate, raw: rawMean, adjusted: one?.adjusted ?? null, se: one?.se ?? null };
    }),
  };
}

function rawMeans({ marks, factors }: PanelMarks["columns"], count: number): number[] {
  const codes = factors.get("candidate")?.codes ?? new Int32Array();
  const [sums, counts] = [new Float64Array(count), new Float64Array(count)];
  codes.forEach((code, i) => {
    sums[code] = (sums[code] as number) + (marks[i] as number);
    counts[code] = (counts[code] as number) + 1;
  });
  return [...sums].map((sum, i) => sum / (counts[i] as number));
}
