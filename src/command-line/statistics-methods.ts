import { type BorderlineMark, borderline } from "../belt-test/items/borderline.ts";
import { isUnsupported } from "../ratings/agreement/panel-table.ts";
import { weightedKappa } from "../ratings/agreement/weighted-kappa.ts";
import { algorithmA } from "../ratings/algorithm-a.ts";
import { modifiedZ } from "../ratings/modified-z.ts";
import { cochranC } from "../ratings/outliers/cochran-c.ts";
import { generalizedEsd } from "../ratings/outliers/generalized-esd.ts";
import { type GrubbsSide, grubbs } from "../ratings/outliers/grubbs.ts";
import { mandel } from "../ratings/outliers/mandel.ts";
import { trimmedMean } from "../ratings/outliers/trimmed-mean.ts";
import { oneWayAnova } from "../ratings/statistics/one-way-anova.ts";
import { summary } from "../ratings/statistics/summary.ts";
import { figure, figureTable } from "./figure-table.ts";
import { readCrossTable } from "./read-cross-table.ts";
import { readCases, readGroups, readValues } from "./read-values.ts";
import { type StatisticsKey, sayStatistics } from "./say-statistics.ts";
import { wrapped } from "./text-width.ts";

export interface MethodOptions {
  alpha: number;
  most: number | undefined;
  drop: number;
}
/** What a check found: for programs, and for a person. */
interface Answer {
  json: object;
  text: (width: number) => string[];
}
type Method = (file: string, options: MethodOptions) => Answer;

const because = (reason: string) =>
  sayStatistics(`reason-${reason}` as StatisticsKey, { terms: "" });

/** Nothing could be computed: every figure null, and why. */
function nothing(figures: readonly string[], reason: string): Answer {
  const json = Object.fromEntries(figures.map((name) => [name, null]));
  return {
    json: { ...json, reason: because(reason) },
    text: (width) =>
      wrapped(sayStatistics("cannot", { reason: because(reason) }), Math.min(width, 80), ""),
  };
}
const label = (name: string) => sayStatistics(`label-${name}` as StatisticsKey);
/** One plain sentence, then a table. */
const tableText =
  (plain: string, columns: string, rows: readonly (readonly string[])[]) =>
  (width: number): string[] =>
    figureTable("", plain, columns, rows, width).slice(2);

export const methods: Record<string, Method> = {
  "algorithm-a": (file) => {
    const values = readValues(file).map(({ value }) => value);
    const { mean, spread } = algorithmA(values);
    return {
      json: { n: values.length, mean, sd: spread },
      text: tableText(sayStatistics("algorithm-a-plain"), [label("mean"), label("sd")].join("|"), [
        ["", figure(mean, 4), figure(spread, 4)],
      ]),
    };
  },

  grubbs: (file, { alpha }) => {
    const lines = readValues(file);
    const values = lines.map(({ value }) => value);
    const both = grubbs(values, alpha, "two-sided");
    if ("reason" in both)
      return nothing(
        ["g", "critical", "p", "outlier", "suspect", "oneSided", "twoSided"],
        both.reason,
      );
    const suspect = lines[both.suspect];
    const mean = summary(values)?.mean ?? 0;
    const side: GrubbsSide = (suspect?.value ?? 0) > mean ? "highest" : "lowest";
    const one = grubbs(values, alpha, side);
    const oneSided = "reason" in one ? both : one;
    const json = ({ critical, p, isOutlier }: typeof both) => ({ critical, p, outlier: isOutlier });
    return {
      json: {
        n: values.length,
        alpha,
        g: both.g,
        suspect: { value: suspect?.value, line: suspect?.line, side },
        oneSided: json(oneSided),
        twoSided: json(both),
      },
      text: tableText(
        sayStatistics("grubbs-plain", {
          value: String(suspect?.value),
          g: figure(both.g),
          isOutlier: both.isOutlier,
        }),
        sayStatistics("sided-columns"),
        (
          [
            ["one-sided", oneSided],
            ["two-sided", both],
          ] as const
        ).map(([name, test]) => [
          label(name),
          figure(test.g, 4),
          figure(test.critical, 4),
          figure(test.p, 4),
        ]),
      ),
    };
  },

  esd: (file, { alpha, most }) => {
    const lines = readValues(file);
    const count = most ?? Math.max(1, Math.min(10, Math.floor(lines.length / 2)));
    const found = generalizedEsd(
      lines.map(({ value }) => value),
      count,
      alpha,
    );
    if ("reason" in found) return nothing(["steps", "outliers"], found.reason);
    const valueAt = (place: number) => lines[place]?.value ?? 0;
    return {
      json: {
        n: lines.length,
        alpha,
        most: count,
        steps: found.steps.map(({ r, critical, suspect }) => ({
          r,
          critical,
          value: valueAt(suspect),
          line: lines[suspect]?.line,
        })),
        count: found.outliers.length,
        outliers: found.outliers.map(valueAt),
      },
      text: tableText(
        sayStatistics("esd-plain", {
          n: found.outliers.length,
          values: found.outliers.map(valueAt).join(", "),
        }),
        sayStatistics("esd-columns"),
        found.steps.map(({ r, critical, suspect }, i) => [
          String(i + 1),
          String(valueAt(suspect)),
          figure(r),
          figure(critical),
        ]),
      ),
    };
  },

  "modified-z": (file) => {
    const lines = readValues(file);
    if (lines.length < 3) return nothing(["values"], "too-few-values");
    const z = modifiedZ(lines.map(({ value }) => value));
    return {
      json: {
        n: lines.length,
        values: lines.map(({ line, value }, i) => ({ line, value, z: z[i] ?? null })),
      },
      text: tableText(
        sayStatistics("modified-z-plain"),
        sayStatistics("mod-columns"),
        lines.map(({ value }, i) => [String(i + 1), String(value), figure(z[i])]),
      ),
    };
  },

  "trimmed-mean": (file, { drop }) => {
    const values = readValues(file).map(({ value }) => value);
    const mean = trimmedMean(values, drop);
    if (mean === null) return nothing(["mean"], "too-few-values");
    const kept = values.length - 2 * drop;
    return {
      json: { n: values.length, drop, kept, mean },
      text: tableText(sayStatistics("trimmed-mean-plain", { kept, drop }), label("mean"), [
        ["", figure(mean, 4)],
      ]),
    };
  },

  univariate: (file) => {
    const found = summary(readValues(file).map(({ value }) => value));
    if (found === null) return nothing(["mean", "sd", "lagOne"], "too-few-values");
    const { lagOne, ...rest } = found;
    const reason = found.n < 2 ? "too-few-values" : lagOne === null ? "all-equal" : null;
    return {
      json: { ...rest, lagOne, ...(reason ? { reason: because(reason) } : {}) },
      text: tableText(
        sayStatistics("univariate-plain"),
        ["n", "mean", "sd", "lag", "min", "max"].map(label).join("|"),
        [
          [
            "",
            String(found.n),
            figure(found.mean, 6),
            figure(found.sd, 6),
            figure(lagOne, 4),
            String(found.min),
            String(found.max),
          ],
        ],
      ),
    };
  },

  anova: (file, { alpha }) => {
    const groups = readGroups(file);
    const found = oneWayAnova(groups.map(({ values }) => values));
    if (found === null)
      return nothing(["between", "within", "f", "p", "rSquared", "residualSd"], "too-few-values");
    const { between, within, f, p } = found;
    const row = (name: string, part: typeof between, ...more: string[]) => [
      label(name),
      String(part.df),
      figure(part.ss, 4),
      figure(part.ms, 4),
      ...more,
    ];
    return {
      json: { ...found, ...(f === null ? { reason: because("no-error-left") } : {}) },
      text: tableText(
        f === null
          ? sayStatistics("cannot", { reason: because("no-error-left") })
          : sayStatistics("anova-plain", { isSure: (p ?? 1) < alpha }),
        sayStatistics("anova-columns"),
        [row("between", between, figure(f), figure(p, 4)), row("within", within, "", "")],
      ),
    };
  },

  mandel: (file) => {
    const groups = readGroups(file);
    const found = mandel(groups.map(({ values }) => values));
    const withSd = (variance: number | null) => ({
      variance,
      sd: variance === null ? null : Math.sqrt(variance),
    });
    const { h, k } = found.critical;
    return {
      json: {
        groups: groups.map(({ name, values }, i) => ({
          group: name,
          n: values.length,
          ...found.judges[i],
        })),
        critical: found.critical,
        repeatability: withSd(found.within),
        between: withSd(found.between),
        reproducibility: withSd(found.both),
        ...(groups.length < 3
          ? { reason: because("too-few-values") }
          : k === null
            ? { reason: because("replicates-differ") }
            : {}),
      },
      text: (width) => [
        ...tableText(sayStatistics("mandel-plain"), sayStatistics("mandel-columns"), [
          ...groups.map(({ name }, i) => {
            const one = found.judges[i];
            return [name, figure(one?.mean), figure(one?.sd), figure(one?.h, 2), figure(one?.k, 2)];
          }),
          [label("critical-5"), "", "", figure(h?.at5, 2), figure(k?.at5, 2)],
          [label("critical-1"), "", "", figure(h?.at1, 2), figure(k?.at1, 2)],
        ])(width),
        ...figureTable(
          "",
          "",
          sayStatistics("variance-columns"),
          (["within", "between", "both"] as const).map((part) => {
            const { variance, sd } = withSd(found[part]);
            return [label(part), figure(variance, 4), figure(sd, 4)];
          }),
          width,
        ).slice(3),
      ],
    };
  },

  cochran: (file) => {
    const groups = readGroups(file);
    const found = cochranC(groups.map(({ values }) => values));
    if ("reason" in found) return nothing(["c", "critical", "p", "suspect"], found.reason);
    const group = groups[found.suspect]?.name ?? "";
    const isOutlier = found.c > found.critical.at5;
    return {
      json: {
        c: found.c,
        critical: found.critical,
        p: found.p,
        suspect: group,
        straggler: isOutlier,
        outlier: found.c > found.critical.at1,
      },
      text: tableText(
        sayStatistics("cochran-plain", {
          group,
          share: `${(found.c * 100).toFixed(1)} %`,
          isOutlier,
        }),
        ["c", "critical-5", "critical-1", "p"].map(label).join("|"),
        [
          [
            group,
            figure(found.c),
            figure(found.critical.at5),
            figure(found.critical.at1),
            figure(found.p, 4),
          ],
        ],
      ),
    };
  },

  borderline: (file) => {
    const found = borderline(readCases(file));
    const { group, regression } = found;
    const json = ({ reason, ...mark }: BorderlineMark) => ({
      ...mark,
      ...(reason ? { reason: because(reason) } : {}),
    });
    return {
      json: { group: json(group), regression: { ...json(regression), share: regression.share } },
      text: tableText(
        sayStatistics("borderline-plain"),
        sayStatistics("borderline-columns"),
        (["group", "regression"] as const).map((name) => [
          label(`borderline-${name}`),
          figure(found[name].mark, 1),
          figure(found[name].error, 1),
          String(found[name].cases),
        ]),
      ),
    };
  },

  "weighted-kappa": (file) => {
    const { table, weights } = readCrossTable(file);
    const kinds = [
      "unweighted",
      "linear",
      "quadratic",
      ...(weights ? (["custom"] as const) : []),
    ] as const;
    const found = kinds.map((kind) => ({
      kind,
      answer: weightedKappa(table, kind === "custom" ? (weights ?? []) : kind),
    }));
    const n = table.counts.flat().reduce((sum, count) => sum + count, 0);
    return {
      json: {
        n,
        categories: table.categories,
        ...Object.fromEntries(
          found.map(({ kind, answer }) => [
            kind,
            isUnsupported(answer)
              ? { kappa: null, z: null, p: null, reason: because(answer.reason) }
              : answer,
          ]),
        ),
      },
      text: tableText(
        sayStatistics("weighted-kappa-plain"),
        sayStatistics("kappas-columns"),
        found.map(({ kind, answer }) => [
          sayStatistics(`weights-${kind}`),
          ...(isUnsupported(answer)
            ? ["–", "–", "–"]
            : [figure(answer.kappa), figure(answer.z, 2), figure(answer.p, 4)]),
        ]),
      ),
    };
  },
};
