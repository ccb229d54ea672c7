/** How the marks of one cell become a panel mark: see `panelMark`. */
export const COMBININGS = ["mean", "median", "drop-high-low", "robust"] as const;
export type Combining = (typeof COMBININGS)[number];
