/** A measured tyre pressure against the van's cold figure. Pure. Bar. */

/** Nearer than this is the figure: gauges of air lines are read no finer. Common practice, no source. */
const nearBar = 0.1;
/** A fifth under the figure is not driven on. Common practice, no source. */
const veryLow = 0.8;

/** How a measured pressure compares, and by how many bar. */
export function compare(
  measuredBar: number,
  figureBar: number,
): { is: "right" | "low" | "very-low" | "high"; byBar: number } {
  const byBar = Math.abs(measuredBar - figureBar);
  if (measuredBar <= figureBar * veryLow) return { is: "very-low", byBar };
  if (byBar < nearBar) return { is: "right", byBar };
  return { is: measuredBar < figureBar ? "low" : "high", byBar };
}
