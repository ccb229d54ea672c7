import { agreementWord, RELIABLE, TENTATIVE } from "../ratings/agreement/agreement-word.ts";
import { iccForms } from "../ratings/agreement/intraclass.ts";
import { alphaMetrics } from "../ratings/agreement/krippendorff.ts";
import type { AgreementFigures } from "./agreement-figures.ts";
import { figure, figureTable } from "./figure-table.ts";
import { type StatisticsKey, sayStatistics } from "./say-statistics.ts";
import { wrapped } from "./text-width.ts";

const cannot = (reason: string) => sayStatistics("cannot", { reason });

/** The figures as tables that a person can read, each with one plain sentence. */
export function agreementTable(figures: AgreementFigures, width: number): string {
  const { performances, judges, candidates, marks } = figures;
  const table = (
    name:
      | "icc"
      | "alpha"
      | "w"
      | "kappa"
      | "components"
      | "reliability"
      | "severity"
      | "candidates",
    rows: readonly (readonly string[])[],
    values = {},
    reason?: string,
  ) => {
    const key = (part: string) => `${name}-${part}` as StatisticsKey;
    // The star says of which figures a line above speaks; without it, nothing was left out.
    const heading = sayStatistics(key("heading"));
    const plain = reason ? cannot(reason) : sayStatistics(key("plain"), values);
    const lines = figureTable(
      performances.leftOut > 0 ? heading : heading.replace(" *", ""),
      plain,
      sayStatistics(key("columns")),
      rows,
      width,
    );
    // Without a figure, the heading and the reason are enough.
    return reason && rows.length === 0 ? lines.slice(0, -2) : lines;
  };
  const first = figures.icc["ICC(1,1)"];
  return [
    ...wrapped(
      sayStatistics("panel", {
        judges,
        candidates: candidates.length,
        performances: performances.total,
        marks,
        complete: performances.complete,
      }),
      Math.min(width, 80),
      "",
    ),
    ...(performances.leftOut > 0
      ? wrapped(
          sayStatistics("left-out", { leftOut: performances.leftOut }),
          Math.min(width, 80),
          "",
        )
      : []),
    ...table(
      "icc",
      first.n === null ? [] : iccForms.map((form) => iccRow(form, figures)),
      { k: judges },
      first.n === null ? first.reason : undefined,
    ),
    ...table("alpha", alphaRows(figures), { reliable: RELIABLE, enough: TENTATIVE }),
    ...table(
      "w",
      figures.kendallW.w === null ? [] : [["", ...fourOf(figures.kendallW)]],
      {},
      "reason" in figures.kendallW ? figures.kendallW.reason : undefined,
    ),
    ...table(
      "kappa",
      "reason" in figures.fleissKappa ? [] : kappaRows(figures.fleissKappa),
      {},
      "reason" in figures.fleissKappa ? figures.fleissKappa.reason : undefined,
    ),
    ...(figures.sameMarks.exact === null
      ? []
      : [
          "",
          ...wrapped(
            sayStatistics("same-plain", {
              exact: percent(figures.sameMarks.exact),
              adjacent: percent(figures.sameMarks.adjacent ?? 0),
            }),
            Math.min(width, 80),
            "",
          ),
        ]),
    ...table("components", componentRows(figures), {}, figures.reason),
    ...reliabilityLines(figures, table),
    ...table(
      "severity",
      figures.severity.map(({ judge, estimate, se }) => [judge, figure(estimate), figure(se)]),
      {},
      figures.severity[0]?.reason,
    ),
    ...table(
      "candidates",
      figures.candidates.map(({ candidate, raw, adjusted, se }) => [
        candidate,
        figure(raw),
        figure(adjusted),
        figure(se),
      ]),
    ),
  ].join("\n");
}

const percent = (share: number) => `${(share * 100).toFixed(0)} %`;

function iccRow(form: (typeof iccForms)[number], { icc }: AgreementFigures): string[] {
  const { value, low, high, f, df1, df2, p } = icc[form];
  return [
    form,
    figure(value),
    figure(low),
    figure(high),
    figure(f, 2),
    `${df1}, ${df2}`,
    figure(p, 4),
  ];
}

function alphaRows({ krippendorff }: AgreementFigures): string[][] {
  return alphaMetrics.map((metric) => {
    const interval = krippendorff.intervals[metric];
    const value = krippendorff[metric];
    return [
      metric,
      figure(value),
      figure(interval?.low),
      figure(interval?.high),
      value === null
        ? ""
        : sayStatistics("alpha-word", { word: agreementWord(value).replace("-", "_") }),
    ];
  });
}

const fourOf = ({ w, chi2, df, p }: AgreementFigures["kendallW"]) => [
  figure(w),
  figure(chi2, 2),
  String(df ?? "–"),
  figure(p, 4),
];

function kappaRows(
  found: Exclude<AgreementFigures["fleissKappa"], { reason: string }>,
): string[][] {
  // Marks with decimals make dozens of categories; the whole says enough then.
  const each = found.categories.length > 12 ? [] : found.categories;
  return [
    ["", figure(found.kappa), figure(found.z, 2), figure(found.p, 4)],
    ...each.map(({ category, kappa, z, p }) => [
      String(category),
      figure(kappa),
      figure(z, 2),
      figure(p, 4),
    ]),
  ];
}

function componentRows({ components, componentErrors, reason }: AgreementFigures): string[][] {
  if (reason) return [];
  const total = Object.values(components).reduce<number>((sum, one) => sum + (one ?? 0), 0);
  return Object.entries(components).map(([name, variance]) => [
    name === "residual" ? sayStatistics("residual") : name,
    figure(variance, 4),
    figure(componentErrors?.[name], 4),
    variance === null || total === 0 ? "–" : percent(variance / total),
  ]);
}

function reliabilityLines(
  { reliability }: AgreementFigures,
  table: (
    name: "reliability",
    rows: readonly (readonly string[])[],
    values?: object,
    reason?: string,
  ) => string[],
): string[] {
  if ("reason" in reliability) return table("reliability", [], {}, reliability.reason);
  return table(
    "reliability",
    reliability.dStudy.map(({ judges, g, phi, sem }) => [
      sayStatistics("judges-row", { n: judges }),
      figure(g),
      figure(phi),
      figure(sem),
    ]),
    { judges: Number(reliability.judges.toFixed(1)) },
  );
}
